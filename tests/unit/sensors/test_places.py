"""Places in a message. What a template may say is little, and nothing of it is ever evaluated."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.decoding import Unreadable
from sensors.places import Place, check_place, json_place, place, template

VALUE = {"a": {"b": [1, {"c": 2}], "two words": 3}, "x.y": 4, "list": [5], "0": 6}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a.b.0", 1),
        ("a.b.1.c", 2),
        ("a.two words", 3),
        ("x.y", 4),
        ("list.0", 5),
        ("0", 6),
        ("list.1", None),
        ("list.-1", None),
        ("list.b", None),
        ("a.b.1.c.d", None),
        ("none.at.all", None),
        ("{{ value_json.a.b[0] }}", 1),
        ("{{ value_json['a'].b.1.c }}", 2),
        ('{{value_json["a"]["two words"]}}', 3),
        ("{{- value_json['x.y'] -}}", 4),
        ("  {{ value_json.list.0 }}\n", 5),
        ("{{ value_json['0'] }}", 6),
    ],
)
def test_a_place_is_found_or_not(text: str, found: object) -> None:
    assert json_place(text).look_up(VALUE) == found


def test_the_whole_message_is_a_place_too_but_none_in_json() -> None:
    assert place("{{ value }}") == Place("{{ value }}", ())
    assert check_place("{{ value }}") == (
        "found '{{ value }}'; would be right: a place in the JSON, or format = \"number\""
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("{{ value_json.a | round(1) }}", "'| round(1)'"),
        ("{{ value | float }}", "'| float'"),
        ("{{ value_json.a + 1 }}", "'+ 1'"),
        ("{{ value_json.a() }}", "'()'"),
        ("{{ value_json['a' }}", "found \"['a'\""),
        ("{{ value_json['__class__'].__mro__[1](1) }}", "'(1)'"),
        ("{{ value_json }}", "'value_json'"),
        ("{{ value.a }}", "'.a'"),
        ("{{ states('sensor.a') }}", "the template"),
        ("{{ value_json.a }} °C", "the template"),
        ("{% if value %}1{% endif %}", "the template"),
        ("{{ value_json.a }}{{ value_json.b }}", "the template"),
        ("{{ value_json" + ".a" * 17 + " }}", "'value_json'"),
        ("{{ value_json." + "a" * 300 + " }}", "would be right: a place of 1 to 256 characters"),
        ("value_json.a", "the template"),
        ("", "would be right: a place of 1 to 256 characters"),
    ],
)
def test_any_other_template_is_refused_and_says_what_was_found(text: str, found: str) -> None:
    with pytest.raises(Unreadable) as caught:
        template(text)
    assert found in str(caught.value)
    assert "would be right" in str(caught.value)


@pytest.mark.parametrize("text", ["", ".", "a.", ".a", "a..b", "a" * 257, ".".join("a" * 17), "a\n.b", "{a}", "a}"])
def test_what_is_no_dotted_place_is_refused(text: str) -> None:
    assert "would be right" in str(check_place(text))


@given(st.text(max_size=60) | st.from_regex(r"\{\{ ?value(_json)?[ -~]{0,40}\}\}", fullmatch=True))
def test_any_text_is_a_place_or_refused_with_a_reason(text: str) -> None:
    """Field pitfall 4: whatever comes over the wire ends as one or the other."""
    reason = check_place(text)
    if reason is None:
        json_place(text).look_up(VALUE)
    else:
        assert "would be right" in reason
