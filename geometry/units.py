"""Conversions between the units inside (mm, N, MPa, tonne, s) and those reported."""

UM_PER_MM = 1000.0
MM_PER_UM = 1.0 / UM_PER_MM
MM_PER_M = 1000.0
MM_PER_INCH = 25.4
N_PER_KN = 1000.0
KG_PER_TONNE = 1000.0
T_MM3_PER_KG_M3 = 1.0e-12
N_PER_MM_PER_N_PER_UM = UM_PER_MM
