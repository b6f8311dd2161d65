"""What giving way does to the work's size: to its diameter, faced to its length."""

from fea.analysis.result import StackResult
from fea.machining.fed import AXIAL, Fed
from fea.report.number import rounded
from geometry.pad import FloatArray


def is_length(stack: StackResult) -> bool:
    """Whether the cut makes a length and no diameter."""
    return stack.curve.fed is Fed.ACROSS


def error_name(stack: StackResult) -> str:
    """Return what the error is called."""
    return "length error" if is_length(stack) else "diameter error"


def larger(stack: StackResult) -> str:
    """Return what a positive error makes of the work."""
    return "too long" if is_length(stack) else "too large"


def error_um(stack: StackResult) -> FloatArray:
    """Error at every depth, positive where too little is cut. (n,) [um]."""
    curve = stack.curve
    return curve.length_error_um if is_length(stack) else curve.diameter_error_um


def error_band_um(stack: StackResult) -> FloatArray:
    """Low and high of the error at the depths of the bands. (2, k) [um]."""
    bands = stack.bands
    return (
        bands.deflection_um[:, :, AXIAL]
        if is_length(stack)
        else (bands.diameter_error_um)
    )


def error_words(stack: StackResult, error: float) -> str:
    """Write an error [um] as "20 µm too large"."""
    smaller = "too short" if is_length(stack) else "too small"
    way = larger(stack) if error >= 0.0 else smaller
    return f"{rounded(abs(error))} µm {way}"
