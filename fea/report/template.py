"""Pages from templates: each one is a file that needs nothing else."""

from importlib.resources import files


def render(template: str, style: str, **values: object) -> str:
    """Fill a template of this package; `style` is a file that goes into its head."""
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(_text),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(template).render(style=_text(style), **values)


def _text(name: str) -> str:
    return files("fea.report").joinpath(name).read_text(encoding="utf-8")
