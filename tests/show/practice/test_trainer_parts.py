"""What the parts of the trainer's panel share."""

import pytest

from kit.job import refuse
from kit.show.practice.trainer_parts import Message, box, button


def failing(error: Exception) -> tuple[str, bool, bool]:
    """Return what is said of an error, and whether the button was out of reach, and is again."""
    message, pressed = Message(), button("Go", "go", "9em")
    meanwhile = []
    with message.trying(pressed, "Nothing was done."):
        meanwhile.append(pressed.disabled)
        raise error
    return message.widget.value, meanwhile[0], pressed.disabled


def test_a_refusal_is_said_in_words_and_a_commands_option_is_a_box() -> None:
    words, during, after = failing(refuse("--out /x/<y>", "a file a.html already", "another"))
    assert "✗ Nothing was done. folder to write to, /x/&lt;y&gt;: found a file a.html" in words
    assert 'role="alert"' in words
    assert (during, after) == (True, False)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(36, "File name too long", "/tmp/nn"), "File name too long (/tmp/nn)."),
        (OSError("disk went away"), "disk went away."),
        (ZeroDivisionError("by 0"), "The kit has a defect here (ZeroDivisionError: by 0)."),
    ],
)
def test_nothing_is_raised_into_the_notebook(error: Exception, said: str) -> None:
    words, _, after = failing(error)
    assert f"✗ Nothing was done. {said}" in words
    assert not after


def test_a_box_is_named_and_never_wider_than_the_page() -> None:
    one = box("folder", "here", "60em")
    assert (one.description, one.value, one.layout.max_width) == ("folder", "here", "98%")
