"""What papers beside the job sheet say of its cautions."""

from kit.base.cautions import NO_APPROVAL
from kit.paper.beside import BESIDE
from kit.paper.document import Points
from kit.paper.plinth_sheet import plinth_sheet
from kit.paper.tape_strip import tape_strips
from kit.parts import Answer


def test_strips_and_plinth_send_to_the_job_sheet_and_approve_nothing(boot_room: Answer) -> None:
    assert "stand on the job sheet" in BESIDE[0]
    assert BESIDE[-1] == NO_APPROVAL
    for document in (*tape_strips(boot_room), *plinth_sheet(boot_room, 100.0)):
        (warned,) = [
            part.lines for part in document.parts if isinstance(part, Points) and part.sign == "⚠"
        ]
        assert warned[-len(BESIDE) :] == BESIDE
        assert len(warned) > len(BESIDE)
