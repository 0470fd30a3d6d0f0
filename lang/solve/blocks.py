"""The order of solving: what hangs together is a block, and a block comes after all that it needs."""

from collections.abc import Iterable, Mapping, Sequence


def blocks_in_order(needs: Mapping[int, Sequence[int]], nodes: Iterable[int]) -> list[list[int]]:
    """Return the strongly connected blocks of `nodes`, each ascending, each after those that it needs (Tarjan
    1972).

    needs: for each node the nodes that it needs; others than `nodes` are passed over.
    """
    wanted = list(nodes)
    number: dict[int, int] = dict.fromkeys(wanted, -1)
    low: dict[int, int] = {}
    stack: list[int] = []
    on_stack: set[int] = set()
    found: list[list[int]] = []
    counter = 0
    for root in wanted:
        if number[root] >= 0:
            continue
        work = [(root, iter(needs[root]))]
        number[root] = low[root] = counter
        counter += 1
        stack.append(root)
        on_stack.add(root)
        while work:
            node, successors = work[-1]
            for successor in successors:
                visited = number.get(successor)
                if visited is None:
                    continue
                if visited < 0:
                    number[successor] = low[successor] = counter
                    counter += 1
                    stack.append(successor)
                    on_stack.add(successor)
                    work.append((successor, iter(needs[successor])))
                    break
                if successor in on_stack and visited < low[node]:
                    low[node] = visited
            else:
                work.pop()
                if work and low[node] < low[work[-1][0]]:
                    low[work[-1][0]] = low[node]
                if low[node] == number[node]:
                    block: list[int] = []
                    while True:
                        member = stack.pop()
                        on_stack.discard(member)
                        block.append(member)
                        if member == node:
                            break
                    block.sort()
                    found.append(block)
    return found
