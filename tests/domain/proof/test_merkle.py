"""The log's tree: outside vectors, an independent package, and every small size."""

from base64 import b64decode
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pymerkle import InmemoryTree

from records.domain.errors import BadValue, NotProven
from records.domain.proof import envelope
from records.domain.proof.merkle import check_consistency, check_inclusion, leaf_hash, node_hash
from records.domain.proof.tree import (
    EMPTY_ROOT,
    Frontier,
    Tree,
    consistency_path,
    inclusion_path,
    root_of,
)
from tests import outside

# leaves and roots used by certificate-transparency projects since RFC 6962 (checks/proof.md)
LEAVES = [
    "", "00", "10", "2021", "3031", "40414243", "5051525354555657",
    "606162636465666768696a6b6c6d6e6f",
]  # fmt: skip
ROOTS = [
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
]


def _tree(size: int) -> Tree:
    tree = Tree()
    for number in range(size):
        tree.append(leaf_hash(b"%d" % number))
    return tree


def test_leaf_and_node_hash_as_others_have_them() -> None:
    # source: transparency-dev/merkle, rfc6962 hasher test (checks/proof.md)
    assert leaf_hash(b"L123456").hex() == (
        "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"
    )
    assert node_hash(b"N123", b"N456").hex() == (
        "aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb"
    )


@given(st.binary(), st.binary(), st.binary())
def test_the_verifier_hashes_as_the_ledger_does(raw: bytes, left: bytes, right: bytes) -> None:
    assert leaf_hash(raw).hex() == envelope.entry_hash(raw)
    assert node_hash(left, right) == envelope.node_hash(left, right)


@pytest.mark.parametrize("size", range(9))
def test_roots_as_others_have_them(size: int) -> None:
    tree, frontier = Tree(), Frontier()
    for leaf in LEAVES[:size]:
        tree.append(leaf_hash(bytes.fromhex(leaf)))
        frontier = frontier.append(leaf_hash(bytes.fromhex(leaf)))
    assert root_of(tree.node, size).hex() == ROOTS[size]
    assert frontier.root().hex() == ROOTS[size]


def _refused(check: Any, *values: Any) -> bool:
    try:
        check(*values)
    except NotProven:
        return True
    return False


def _bytes(texts: list[str] | None) -> list[bytes]:
    return [b64decode(text) for text in texts or []]


def test_inclusion_proofs_of_others_are_judged_as_they_judge_them() -> None:
    cases = outside.data("merkle.json")["inclusion"]
    for case in cases:
        leaf, root = b64decode(case["leafHash"] or ""), b64decode(case["root"] or "")
        given_values = (leaf, case["leafIdx"], case["treeSize"], _bytes(case["proof"]), root)
        assert _refused(check_inclusion, *given_values) == case["wantErr"], case["name"]
    assert {case["wantErr"] for case in cases} == {True, False}


def test_consistency_proofs_of_others_are_judged_as_they_judge_them() -> None:
    cases = outside.data("merkle.json")["consistency"]
    for case in cases:
        roots = [b64decode(case[name] or "") for name in ("root1", "root2")]
        given_values = (case["size1"], roots[0], case["size2"], roots[1], _bytes(case["proof"]))
        assert _refused(check_consistency, *given_values) == case["wantErr"], case["name"]
    assert {case["wantErr"] for case in cases} == {True, False}


def test_empty_trees_prove_nothing_of_each_other() -> None:
    with pytest.raises(NotProven):
        check_consistency(0, EMPTY_ROOT, 0, EMPTY_ROOT, [])


@pytest.mark.parametrize("size", [1, 2, 3, 7, 8, 13, 32, 33])
def test_roots_and_paths_equal_those_of_an_independent_package(size: int) -> None:
    # source: the package pymerkle; it counts leaves from 1, and keeps the leaf first in its path
    reference, tree = InmemoryTree(algorithm="sha256"), _tree(size)
    for number in range(size):
        reference.append_entry(b"%d" % number)
    assert root_of(tree.node, size) == reference.get_root(size)
    for index in range(size):
        path = reference.prove_inclusion(index + 1, size).path
        assert inclusion_path(tree.node, index, size) == path[1:]


def test_every_proof_of_a_small_tree_holds_for_its_place_alone() -> None:
    tree = _tree(20)
    for size in range(1, 21):
        root = root_of(tree.node, size)
        for index in range(size):
            path = inclusion_path(tree.node, index, size)
            check_inclusion(tree.node(0, index), index, size, path, root)
            assert _refused(check_inclusion, tree.node(0, index), index ^ 1, size, path, root) or (
                size == 1 and index ^ 1 == index
            )
        for earlier in range(1, size + 1):
            path = consistency_path(tree.node, earlier, size)
            check_consistency(earlier, root_of(tree.node, earlier), size, root, path)


@given(st.integers(1, 200), st.data())
def test_a_changed_hash_anywhere_is_refused(size: int, data: st.DataObject) -> None:
    tree = _tree(size)
    earlier = data.draw(st.integers(1, size))
    roots = [root_of(tree.node, earlier), root_of(tree.node, size)]
    hashes = [*roots, *consistency_path(tree.node, earlier, size)]
    at = data.draw(st.integers(0, len(hashes) - 1))
    place = data.draw(st.integers(0, 31))
    torn = bytearray(hashes[at])
    torn[place] ^= data.draw(st.integers(1, 255))
    hashes[at] = bytes(torn)
    with pytest.raises(NotProven):
        check_consistency(earlier, hashes[0], size, hashes[1], hashes[2:])


def test_hashes_of_odd_lengths_are_refused_although_they_join_to_the_same_bytes() -> None:
    tree = _tree(2)
    left, right = tree.node(0, 0), tree.node(0, 1)
    root = root_of(tree.node, 2)
    assert _refused(check_inclusion, left + right[:1], 0, 2, [right[1:]], root)
    check_inclusion(left, 0, 2, [right], root)


def test_a_frontier_keeps_few_hashes_and_tells_the_same_root() -> None:
    frontier, tree = Frontier(), Tree()
    for number in range(300):
        leaf = leaf_hash(b"%d" % number)
        frontier = frontier.append(leaf)
        tree.append(leaf)
        assert len(frontier.halves) <= frontier.size.bit_length()
        assert frontier.root() == root_of(tree.node, number + 1)


@pytest.mark.parametrize(
    ("size", "halves"), [(1, ()), (0, (bytes(32),)), (3, (bytes(32),)), (1, (b"x",)), (-1, ())]
)
def test_a_torn_frontier_is_refused(size: int, halves: tuple[bytes, ...]) -> None:
    with pytest.raises(BadValue):
        Frontier(size, halves)


def test_no_proof_is_made_of_what_is_not_there() -> None:
    tree = _tree(3)
    with pytest.raises(BadValue):
        inclusion_path(tree.node, 3, 3)
    with pytest.raises(BadValue):
        inclusion_path(tree.node, 0, 4)
    with pytest.raises(BadValue):
        consistency_path(tree.node, 0, 3)
    with pytest.raises(BadValue):
        consistency_path(tree.node, 4, 3)
    with pytest.raises(BadValue):
        tree.append(b"short")
