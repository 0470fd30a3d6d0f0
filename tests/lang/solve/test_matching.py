"""Matching and blocks: as large as can be, first things first, in solving order."""

from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.solve.blocks import blocks_in_order
from ringwright.lang.solve.matching import empty, extend, over_determined, peel, under_determined
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, maximum_bipartite_matching

graphs = st.integers(1, 12).flatmap(
    lambda unknowns: st.tuples(
        st.just(unknowns),
        st.lists(st.lists(st.integers(0, unknowns - 1), unique=True).map(sorted), min_size=1, max_size=14),
    )
)


@given(graphs)
def test_as_large_as_any(graph: tuple[int, list[list[int]]]) -> None:
    unknowns, edges = graph
    for peeled in (True, False):
        matching = empty(len(edges), unknowns)
        if peeled:
            peel(matching, edges, range(len(edges)))
        surplus = extend(matching, edges, range(len(edges)))
        cells = [(e, u) for e, row in enumerate(edges) for u in row]
        table = csr_array(
            ([1] * len(cells), ([e for e, _ in cells], [u for _, u in cells])), shape=(len(edges), unknowns)
        )
        best = int((maximum_bipartite_matching(table) >= 0).sum())
        assert len(edges) - len(surplus) == best
        for equation, unknown in enumerate(matching.unknown_of):
            assert unknown < 0 or (unknown in edges[equation] and matching.equation_of[unknown] == equation)


@given(graphs)
def test_over_and_under_determined_parts(graph: tuple[int, list[list[int]]]) -> None:
    """Each unknown of the under-determined part could be the one left over; so each would settle one
    shortage."""
    unknowns, edges = graph
    matching = empty(len(edges), unknowns)
    surplus = extend(matching, edges, range(len(edges)))
    free = [u for u, e in enumerate(matching.equation_of) if e < 0]
    holders = [[e for e, row in enumerate(edges) if u in row] for u in range(unknowns)]
    open_unknowns = under_determined(matching, holders, free)
    for unknown in range(unknowns):
        stated = [*edges, [unknown]]
        again = empty(len(stated), unknowns)
        left = extend(again, stated, range(len(stated)))
        assert (len(left) == len(surplus)) == (unknown in open_unknowns)
    disputed = {u for e in surplus for u in over_determined(matching, edges, e)}
    assert not disputed & open_unknowns


def test_earlier_equations_have_priority() -> None:
    edges = [[0], [0, 1], [1], [0, 1]]
    matching = empty(4, 2)
    assert extend(matching, edges, range(4)) == [2, 3]
    assert matching.unknown_of == [0, 1, -1, -1]


def test_what_is_paired_stays_paired() -> None:
    edges = [[0, 1], [1, 2], [0], [1]]
    matching = empty(4, 3)
    assert extend(matching, edges, [0, 1]) == []
    assert extend(matching, edges, [2]) == []
    assert sorted(matching.unknown_of[:3]) == [0, 1, 2]
    assert extend(matching, edges, [3]) == [3]


@given(
    st.integers(1, 10).flatmap(lambda n: st.lists(st.lists(st.integers(0, n - 1)), min_size=n, max_size=n))
)
def test_blocks_come_after_what_they_need(needs: list[list[int]]) -> None:
    table = dict(enumerate(needs))
    found = blocks_in_order(table, table)
    place = {node: number for number, block in enumerate(found) for node in block}
    assert sorted(place) == list(range(len(needs)))
    assert all(place[other] <= place[node] for node in table for other in table[node])
    cells = [(node, other) for node, row in enumerate(needs) for other in row]
    shape = (len(needs), len(needs))
    links = csr_array(([1] * len(cells), ([a for a, _ in cells], [b for _, b in cells])), shape=shape)
    count, _ = connected_components(links, directed=True, connection="strong")
    assert len(found) == count


def test_a_long_chain_is_no_deep_recursion() -> None:
    needs = {node: (node - 1,) for node in range(50_000)}
    assert blocks_in_order(needs, reversed(range(50_000))) == [[node] for node in range(50_000)]
