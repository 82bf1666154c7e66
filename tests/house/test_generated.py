"""Do the generated documents say what the code says?"""

from pathlib import Path

from tests.house import tree
from tests.house.generate_docs import DOCUMENTS, refusals, stale, states
from travelers.floor.rules import NEXT, State, Wish


def test_the_generated_documents_are_fresh() -> None:
    assert stale(DOCUMENTS, tree.ROOT) == [], "run `make docs` and read what changed"


def test_a_missing_and_a_stale_document_are_found(tmp_path: Path) -> None:
    documents = {"a.md": lambda: "one\n", "b.md": lambda: "two\n"}
    (tmp_path / "a.md").write_text("one\n")
    assert stale(documents, tmp_path) == ["b.md"]
    (tmp_path / "b.md").write_text("too\n")
    assert stale(documents, tmp_path) == ["b.md"]
    (tmp_path / "b.md").write_text("two\n")
    assert stale(documents, tmp_path) == []


def test_the_list_of_refusals_has_each_of_them_once() -> None:
    from tests.house.test_refusals import all_refusals

    drawn = refusals()
    for one in all_refusals():
        assert drawn.count(f"| `{one.code}` |") == 1
        assert one.remedy in drawn


def test_the_table_of_states_has_each_state_and_wish() -> None:
    drawn = states()
    for state in State:
        row = next(line for line in drawn.splitlines() if f"| **{state}** |" in line)
        cells = [cell.strip() for cell in row.split("|")[2:-1]]
        assert cells == [str(NEXT.get((state, wish), "")) for wish in Wish]
