"""Everything a study leaves behind: page, table, plots."""

from collections.abc import Sequence
from pathlib import Path

from fea.case.schema import Case
from fea.report.page import STYLE
from fea.report.staging import require_writable, staged
from fea.report.study_axes import marks
from fea.report.study_doubts import doubts
from fea.report.study_images import PICTURES, study_images
from fea.report.study_tables import study_tables
from fea.report.study_words import counts, further, recommendation
from fea.report.template import render
from fea.study.judgement import judge
from fea.study.own import own_design
from fea.study.recommended_case import CaseText, recommended_text
from fea.study.run import Finished
from fea.study.sensitivity import sensitivities
from fea.study.table_file import columns_of, write_csv, write_parquet

PAGE, CSV, PARQUET = "study.html", "study.csv", "study.parquet"
RECOMMENDED = "recommended.toml"
FILES = (PAGE, CSV, PARQUET, RECOMMENDED, *PICTURES)


def write_study(
    case: Case, said: CaseText, finished: Sequence[Finished], folder: Path
) -> Path:
    """Write all of `FILES` that the study gives; return the page.

    `said` is the file that the case was read from.
    """
    require_writable(folder, FILES)
    study = case.study
    judged = judge(study, finished)
    answer, surrogates = judged.answer, judged.surrogates
    own = own_design(case, finished, surrogates)
    best = answer.recommended
    found = {
        name: sensitivities(each, best.design.values)
        for name, each in surrogates.items()
        if best is not None
    }
    images = tuple(study_images(study, finished, answer, marks(answer, own), found))
    page = render(
        PAGE,
        STYLE,
        title=case.title,
        recommendation=recommendation(study, finished, answer, own),
        further=further(study, finished, answer),
        counts=counts(study, finished, answer),
        warnings=doubts(study, finished, answer, surrogates, judged.alike),
        images=images,
        tables=tuple(study_tables(study, finished, answer, surrogates, found)),
        recommended=RECOMMENDED if best is not None else None,
    )
    with staged(folder, FILES) as place:
        table = columns_of(study, finished)
        write_csv(table, place / CSV)
        write_parquet(table, place / PARQUET)
        for image in images:
            (place / image.file_name).write_bytes(image.png)
        if best is not None:
            text = recommended_text(said, best.design)
            (place / RECOMMENDED).write_text(text, encoding="utf-8")
        (place / PAGE).write_text(page, encoding="utf-8")
    return folder / PAGE
