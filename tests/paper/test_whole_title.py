"""The title in full, only where the head had to cut it."""

from dataclasses import replace

from kit.paper.document import Heading, Words
from kit.paper.labels import labels
from kit.paper.plinth_sheet import plinth_sheet
from kit.paper.tape_strip import tape_strips
from kit.paper.whole_title import whole_title
from kit.parts import Answer


def test_a_title_that_fits_is_not_said_again(reading_room: Answer) -> None:
    assert whole_title(reading_room.job) == ()


def test_papers_with_a_cut_title_end_with_all_of_it(reading_room: Answer) -> None:
    title = "Reading room " * 700 + "end"
    answer = replace(reading_room, job=reading_room.job.model_copy(update={"title": title}))
    made = (*labels(answer), *tape_strips(answer), *plinth_sheet(answer, 100.0))
    assert len(made) == 3
    for paper in made:
        assert len(paper.title) < 160
        assert paper.parts[-2:] == (Heading("Title of the job in full", 2), Words(title))
