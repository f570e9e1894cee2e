"""The library that makes vvp faster changes nothing that the simulator does."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from machines import Machine
from rtl import drive, samples, target

from verify.simulation import open_simulation
from verify.simulation.cache import BuildCache
from verify.simulation.crew import Crew
from verify.simulation.quick_casts import with_quick_casts

CASTS = """
#include <cstdio>
struct A { virtual ~A() {} long a; };
struct B { virtual ~B() {} long b; };
struct C { virtual ~C() {} long c; };
struct L : virtual A, B { long l; };
struct R : virtual A, C { long r; };
struct D : L, R { long d; };
struct E : B { long e; };
struct F : D, E { long f; };  // has B twice: a cast to B from A is ambiguous
template <class From> void from(const char *name, From *object) {
  std::printf("%s", name);
#define TO(T) { \\
    T *part = dynamic_cast<T *>(object); \\
    std::printf(" %ld", part ? (char *)part - (char *)object : -999L); }
  TO(A) TO(C) TO(L) TO(R) TO(D) TO(F)
  std::printf(" %ld\\n", (char *)dynamic_cast<void *>(object) - (char *)object);
}
int main() {
  for (int round = 0; round < 3; round++) {
    L l; R r; D d; F f; E e; B b;
    A *tops[] = {&l, &r, &d, &f};
    for (A *top : tops) from("A", top);
    B *sides[] = {&l, &d, &e, &b, static_cast<L *>(&f), static_cast<E *>(&f)};
    for (B *side : sides) {
      from("B", side);
      std::printf("E %d\\n", dynamic_cast<E *>(side) != nullptr);
    }
    C *others[] = {&r, &d, &f};
    for (C *other : others) {
      L *part = dynamic_cast<L *>(other);
      std::printf("C %d\\n", part == (L *)&d || part == (L *)&f);
    }
  }
}
"""


@pytest.fixture
def library(tmp_path: Path) -> Path:
    cache = tmp_path / "cache"
    cache.mkdir()
    if not (shutil.which("cc") or shutil.which("gcc")):
        pytest.skip("no C compiler")
    command = with_quick_casts(str(shutil.which("vvp")), BuildCache(cache), Crew())
    assert command[1].startswith("LD_PRELOAD=")
    return Path(command[1].removeprefix("LD_PRELOAD="))


@pytest.mark.skipif(shutil.which("g++") is None, reason="no C++ compiler")
def test_every_cast_of_a_tangled_hierarchy_comes_out_as_the_language_has_it(
    tmp_path: Path, library: Path
) -> None:
    (tmp_path / "casts.cpp").write_text(CASTS)
    subprocess.run(["g++", "-w", "-o", "casts", "casts.cpp"], cwd=tmp_path, check=True)
    plain, quick = (
        subprocess.run(["./casts"], cwd=tmp_path, env=env, check=True, capture_output=True, text=True).stdout
        for env in ({}, {"LD_PRELOAD": str(library)})
    )
    assert plain == quick
    assert "-999" in plain
    assert len(set(plain.splitlines())) > 5


def test_a_folder_whose_name_the_loader_cannot_take_leaves_vvp_as_it_is(tmp_path: Path) -> None:
    cache = tmp_path / "two words"
    cache.mkdir()
    assert with_quick_casts(str(shutil.which("vvp")), BuildCache(cache), Crew()) == (shutil.which("vvp"),)


def test_without_a_c_compiler_vvp_is_left_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert with_quick_casts("/usr/bin/vvp", BuildCache(tmp_path), Crew()) == ("/usr/bin/vvp",)


@pytest.mark.parametrize("seed", [3, 7, 11])
def test_a_random_machine_does_the_same_with_and_without_the_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    machine = Machine(seed)
    unit = target(
        tmp_path, machine.verilog(), [("rst", 1), *machine.inputs], machine.outputs, edge=machine.edge
    )
    play = drive(unit, machine.rows(300))
    observed = []
    for name in ("cache", "cache that the loader cannot take"):
        (tmp_path / name).mkdir()
        monkeypatch.setenv("EVERYEDGE_CACHE", str(tmp_path / name))
        with open_simulation(unit) as simulation:
            observed.append(samples(simulation.play(play)))
    assert observed[0] == observed[1]
