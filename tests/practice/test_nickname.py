import pytest

from kit.job import Refusal
from kit.practice.nickname import LONGEST, read_nickname, same_person


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("ann", "ann"),
        ("  Ann  B ", "Ann B"),
        ("Zoe\u0308", "Zoë"),  # put together by normal form C
        ("x-2_3", "x-2_3"),
        ("Łucja", "Łucja"),
        ("דנה", "דנה"),
        ("a" * LONGEST, "a" * LONGEST),
        ("conny", "conny"),
        ("com10", "com10"),
    ],
)
def test_nicknames(typed: str, kept: str) -> None:
    assert read_nickname(typed) == kept


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", "nothing"),
        ("   ", "nothing"),
        ("a" * (LONGEST + 1), "'aaaaaaaaaaaaaaaaaaaaa', 21 characters"),
        ("a" * 10_000, f"'{'a' * 60}…', 10000 characters"),
        ("=HYPERLINK(\"http://a.example\")", "'=HYPERLINK(\"http://a.example\")', 30 characters"),
        ("=1+1", "'=1+1'"),
        ("+1", "'+1'"),
        ("-2-3", "'-2-3'"),
        ("-b", "'-b'"),
        ("_b", "'_b'"),
        ("@ann", "'@ann', which looks like an e-mail address"),
        ("ann@a.example", "'ann@a.example', which looks like an e-mail address"),
        ("../x", "'../x'"),
        ("a/../x", "'a/../x'"),
        ("a\\b", "'a\\b'"),
        ("a:b", "'a:b'"),
        ("a.csv", "'a.csv'"),
        ("ann\U0001f600", "'ann\U0001f600'"),
        ("\u202eann", "'\\u202eann'"),
        ("a\u200fb", "'a\\u200fb'"),
        ("\ufeffann", "'\\ufeffann'"),
        ("\u3164", "'\u3164'"),
        ("a\tb", "'a\\tb'"),
        ("ann\n", "'ann\\n'"),
        ("a\0b", "'a\\x00b'"),
        ("a,b", "'a,b'"),
        ("3rd", "'3rd'"),  # a letter first: what begins with a digit may become a date
        ("con", "'con', which no file may be called on Windows"),
        ("LPT1", "'LPT1', which no file may be called on Windows"),
        ("com9", "'com9', which no file may be called on Windows"),
        ("Nul", "'Nul', which no file may be called on Windows"),
    ],
)  # fmt: skip
def test_what_is_no_nickname_is_refused(typed: str, found: str) -> None:
    with pytest.raises(Refusal) as refused:
        read_nickname(typed, "who")
    (problem,) = refused.value.problems
    assert (problem.where, problem.found) == ("who", found)
    assert "1 to 20 letters" in problem.allowed


def test_capitals_make_no_other_person() -> None:
    assert same_person("Ann B") == same_person("ANN b") != same_person("Ann C")
