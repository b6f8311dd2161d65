"""What can go wrong, by who can put it right."""


class StoutpostError(Exception):
    """An expected failure: its text is all that the user needs to see."""

    exit_code = 1


class InputError(StoutpostError):
    """Something the user wrote cannot be used and the user can change it.

    The text names where, the value, what is allowed and what to do.
    """

    exit_code = 2


class StorageError(InputError):
    """A folder that must be written to cannot be: nothing about a case is wrong."""


class ShapeError(InputError):
    """A dimension of a part is impossible, or several of them collide.

    Parameters
    ----------
    part : which part it is
    fields : the names of the dimensions that collide, as its dataclass names them
    problem : one sentence with the values and what to change
    """

    def __init__(self, part: str, fields: tuple[str, ...], problem: str) -> None:
        collide = " collide" if len(fields) > 1 else ""
        super().__init__(f"{part}: {' and '.join(fields)}{collide}: {problem}")
        self.part = part
        self.fields = fields
        self.problem = problem


class MeshError(StoutpostError):
    """A shape that passed its checks could not be meshed."""

    exit_code = 3


class SolveError(StoutpostError):
    """The numbers cannot be trusted: singular, not held, not converged."""

    exit_code = 4


class SetupError(StoutpostError):
    """The computer lacks something that has to be installed first."""

    exit_code = 5
