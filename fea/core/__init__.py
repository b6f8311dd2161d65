"""Elasticity of parts, their reduction, joints and the assembled stack."""
