"""A jig's plate, board and brackets as a solid of 20-node bricks: an independent witness of the stiffness formulas.

Nothing here imports the package. Elements and quadrature are scikit-fem's, the solver is scipy's. The sheets are
orthotropic, each in its own plane. Half the jig is modelled (y > 0), symmetric or antisymmetric in its middle plane;
the board is held at its back, so that tilts are those of the plate against the rests. x runs from the board's middle
towards the heel's end, z up, z = 0 the plate's underside. mm, N, MPa.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu
from skfem import Basis, ElementHexS2, ElementVector, FacetBasis, LinearForm, MeshHex

#: Strain components in the order xx, yy, zz, yz, xz, xy.
PAIRS = [(0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1)]
#: Width of the patch that a router's base bears on beside the window, mm.
PATCH_WIDTH = 30.0
#: Half the length of the patch that a router's base bears on beside the window, mm; a tip's load reaches as far back.
PATCH_HALF = 15.0
NEAR = 1e-6
#: Axes of the plate's two in-plane directions and its thickness.
PLATE = (0, 1, 2)
#: Axes of the two in-plane directions and the thickness of the board, or of another sheet square to x.
BOARD = (1, 2, 0)
#: Axes of a bracket's two in-plane directions and its thickness.
BRACKET = (0, 2, 1)


@dataclass(frozen=True)
class Material:
    """Orthotropic sheet, alike in both directions of its plane: moduli in the plane and across it, MPa."""

    young: float
    across: float
    edgewise: float
    rolling: float
    poisson: float = 0.05

    def stiffness(self, axes: tuple[int, int, int]) -> np.ndarray:
        """6 × 6 stiffness with the sheet's own axes laid along the model's."""
        nu, nu_across = self.poisson, 0.33
        soft = np.zeros((6, 6))
        soft[:3, :3] = [
            [1 / self.young, -nu / self.young, -nu_across / self.young],
            [-nu / self.young, 1 / self.young, -nu_across / self.young],
            [-nu_across / self.young, -nu_across / self.young, 1 / self.across],
        ]
        soft[3, 3] = soft[4, 4] = 1 / self.rolling
        soft[5, 5] = 1 / self.edgewise
        own = np.linalg.inv(soft)
        where = [PAIRS.index(tuple(sorted((axes[a], axes[b])))) for a, b in PAIRS]  # type: ignore[arg-type]
        turned = np.zeros((6, 6))
        turned[np.ix_(where, where)] = own
        return turned


@dataclass(frozen=True)
class Block:
    """A box of sheet: (low, high) in x, y, z, and how the sheet lies. `holes` are cut out of it, through its height."""

    x: tuple[float, float]
    y: tuple[float, float]
    z: tuple[float, float]
    lies: tuple[int, int, int]
    material: Material
    holes: tuple[tuple[float, float, float, float], ...] = ()

    def holds(self, middle: np.ndarray) -> np.ndarray:
        """Which of the points (3 × n) are material of this block."""
        inside = np.ones(middle.shape[1], dtype=bool)
        for axis, (low, high) in enumerate((self.x, self.y, self.z)):
            inside &= (middle[axis] > low) & (middle[axis] < high)
        for x0, x1, y0, y1 in self.holes:
            inside &= ~((middle[0] > x0) & (middle[0] < x1) & (middle[1] > y0) & (middle[1] < y1))
        return inside

    def stations(self, axis: int) -> list[float]:
        """Where this block asks for a plane of the grid."""
        found = list((self.x, self.y, self.z)[axis])
        if axis < 2:
            for hole in self.holes:
                found += hole[2 * axis : 2 * axis + 2]
        return found


@dataclass
class Solid:
    """The bricks of a half jig, its dofs and its factorised stiffness, for one symmetry."""

    basis: Basis
    mesh: MeshHex
    points: np.ndarray
    axis: np.ndarray
    free: np.ndarray
    factors: object

    def push(self, chosen: Callable[[np.ndarray], np.ndarray], along: int, force: float) -> np.ndarray:
        """Displacements under `force` spread over the outer faces whose middles are `chosen`."""
        middles = self.mesh.p[:, self.mesh.facets].mean(axis=1)
        outer = self.mesh.boundary_facets()
        faces = outer[chosen(middles[:, outer])]
        assert len(faces)
        basis = FacetBasis(self.mesh, self.basis.elem, facets=faces, intorder=4)
        load = LinearForm(lambda v, _: v[along]).assemble(basis)
        moved = np.zeros(self.basis.N)
        moved[self.free] = self.factors.solve((load * (force / load.sum()))[self.free])  # type: ignore[attr-defined]
        return moved

    def mean(self, moved: np.ndarray, along: int, chosen: np.ndarray) -> float:
        """Mean displacement along an axis of the nodes chosen."""
        return float(moved[chosen & (self.axis == along)].mean())

    def slope(self, moved: np.ndarray, chosen: np.ndarray) -> float:
        """Slope dz/dx (radians) of a straight line through the sinking of the nodes chosen."""
        picked = chosen & (self.axis == 2)
        return float(np.polyfit(self.points[0, picked], moved[picked], 1)[0])


def grid(stations: list[float], step: float) -> np.ndarray:
    """Stations (those nearer than 0.3 mm to the one before left out) with even steps between them."""
    kept: list[float] = []
    for station in sorted(stations):
        if not kept or station - kept[-1] > 0.3:
            kept.append(station)
    found = [kept[0]]
    for low, high in pairwise(kept):
        count = max(1, round((high - low) / step))
        found += [low + (high - low) * i / count for i in range(1, count + 1)]
    return np.array(found)


def build(
    blocks: list[Block],
    extra: dict[int, list[float]],
    held: Callable[[np.ndarray], np.ndarray],
    *,
    antisymmetric: bool = False,
    step: float = 11.0,
    pinned: Callable[[np.ndarray], np.ndarray] | None = None,
) -> Solid:
    """Mesh the blocks, hold the nodes `held` in all directions and those `pinned` sideways, and factorise."""
    lines = [grid(extra.get(a, []) + [s for b in blocks for s in b.stations(a)], step) for a in range(3)]
    mesh = MeshHex.init_tensor(*lines)
    middles = mesh.p[:, mesh.t].mean(axis=1)
    kind = np.full(middles.shape[1], -1)
    for number, block in enumerate(blocks):
        kind[block.holds(middles)] = number
    mesh = mesh.restrict(np.nonzero(kind >= 0)[0])
    kind = kind[kind >= 0]
    basis = Basis(mesh, ElementVector(ElementHexS2()), intorder=3)
    matrix = _assemble(basis, np.stack([b.material.stiffness(b.lies) for b in blocks])[kind])
    axis = np.zeros(basis.N, dtype=int)
    for along in range(3):
        axis[basis.nodal_dofs[along]] = along
        axis[basis.edge_dofs[along]] = along
    points = basis.doflocs
    middle = (np.abs(points[1]) < NEAR) & ((axis != 1) if antisymmetric else (axis == 1))
    fixed = held(points) | middle
    if pinned is not None:
        fixed |= pinned(points) & (axis == 1)
    free = np.nonzero(~fixed)[0]
    options = {"SymmetricMode": True}
    factors = splu(matrix[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options)
    return Solid(basis, mesh, points, axis, free, factors)


def _assemble(basis: Basis, stiffness: np.ndarray) -> coo_matrix:
    """Stiffness matrix of all bricks: strain by strain, as matrix products."""
    count = len(basis.basis)
    shape = (3, 3, *basis.dx.shape)
    grads = np.stack([np.broadcast_to(basis.basis[k][0].grad, shape) for k in range(count)])
    strain = np.stack([grads[:, a, b] + (grads[:, b, a] if a != b else 0.0) for a, b in PAIRS], axis=1)
    strain = np.ascontiguousarray(strain.transpose(2, 3, 1, 0))
    stress = np.matmul(stiffness[:, None], strain) * basis.dx[:, :, None, None]
    cells = strain.shape[0]
    bricks = np.matmul(strain.reshape(cells, -1, count).transpose(0, 2, 1), stress.reshape(cells, -1, count))
    dofs = basis.element_dofs.T
    rows, columns = np.repeat(dofs, count, axis=1).ravel(), np.tile(dofs, (1, count)).ravel()
    return coo_matrix((bricks.ravel(), (rows, columns)), shape=(basis.N, basis.N)).tocsr()


@dataclass(frozen=True)
class Jig:
    """A jig of plate, board and two brackets as `jig-details` sizes them; X stations from the rest's face, mm."""

    tongue_end: float
    opening_end: float
    start: float
    window_end: float
    window_half: float
    fence: float
    depth: float
    tongue: float
    opening: float
    material: Material
    board: float = 18.0
    plate: float = 18.0
    bracket: float = 18.0
    spacing: float = 150.0
    side: float = 38.0
    end: float = 40.0
    force: float = 100.0
    bracketed: bool = True

    @property
    def tip(self) -> float:
        """The tongue's end from the board's middle."""
        return self.fence + self.tongue_end

    @property
    def width(self) -> float:
        """Half the plate's width."""
        return self.window_half + self.side

    @property
    def rest_depth(self) -> float:
        """Depth of the upper rest's upper edge."""
        return self.depth + 3.0

    @property
    def bracket_depth(self) -> float:
        """Depth of the brackets' deep part at the board."""
        return self.rest_depth + 0.46 * self.spacing

    @property
    def board_width(self) -> float:
        """Whole width of the board, up to the next 5."""
        return math.ceil(2.0 * (self.window_half + 2.0 + self.bracket + 30.0) / 5.0) * 5.0

    @property
    def tongue_length(self) -> float:
        """From the tongue's root to its end."""
        return self.tongue_end - self.start

    def blocks(self) -> list[Block]:
        """The sheets as boxes; a bracket's taper as five steps."""
        face = self.board / 2.0
        neck = max(self.fence + self.window_end + self.end, face + 140.0)
        body = max(self.fence + self.opening_end + self.end, face + 140.0)
        root, far = self.fence + self.start, self.fence + self.window_end
        holes = (
            (root, self.tip, self.tongue / 2.0, self.window_half),
            (self.tip, far, -1.0, self.window_half),
            (-self.fence - self.opening_end, -root, -1.0, self.opening / 2.0),
        )
        low = -math.ceil(self.rest_depth + self.spacing + 22.0)
        found = [
            Block((-body, neck), (0.0, self.width), (0.0, self.plate), PLATE, self.material, holes),
            Block((-face, face), (0.0, self.board_width / 2.0), (low, 0.0), BOARD, self.material),
        ]
        if self.bracketed:
            y = (self.window_half + 2.0, self.window_half + 2.0 + self.bracket)
            found.append(Block((face, neck - 12.0), y, (-self.depth, 0.0), BRACKET, self.material))
            deeper = self.bracket_depth - self.depth
            for i in range(5):
                down = -self.depth - deeper * (1.0 - 0.85 * (i + 0.5) / 5.0)
                x = (face + 10.0 * i, face + 10.0 * (i + 1))
                found.append(Block(x, y, (down, -self.depth), BRACKET, self.material))
        return found

    def solid(self, *, antisymmetric: bool = False, pinned: bool = False) -> Solid:
        """The half jig, board held at its back."""
        face, tip = self.board / 2.0, self.tip
        return build(
            self.blocks(),
            {0: [tip - PATCH_HALF, tip - 10.0, tip + PATCH_HALF], 1: [], 2: [-self.rest_depth, self.plate / 2.0]},
            lambda p: (np.abs(p[0] + face) < NEAR) & (p[2] < 0.0),
            antisymmetric=antisymmetric,
            pinned=(lambda p: (p[2] > -NEAR) & (p[1] <= 3.0) & (np.abs(p[0] - tip + 10.0) < 5.0)) if pinned else None,
        )


def strip_tilt(solid: Solid, tip: float, top: float, inner: float, outer: float, force: float, tongue: float) -> float:
    """Tilt (degrees) of the side strip with `force` on the half jig, the router's base level across strip and tongue.

    `inner`, `outer` are the strip's edges, `top` the plate's upper face, `tongue` half the tongue's width (0: it bears
    nothing).
    """
    edge = min(inner + PATCH_WIDTH, outer)

    def patch(p: np.ndarray) -> np.ndarray:
        on = (np.abs(p[2] - top) < NEAR) & (np.abs(p[0] - tip) < PATCH_HALF + NEAR)
        return np.asarray(on & (p[1] > inner - NEAR) & (p[1] < edge + NEAR))

    def end(p: np.ndarray) -> np.ndarray:
        on = (np.abs(p[2] - top) < NEAR) & (p[0] < tip + NEAR) & (p[0] > tip - PATCH_HALF - NEAR)
        return np.asarray(on & (p[1] < tongue + NEAR))

    moved = solid.push(patch, 2, -force)
    if tongue:
        other = solid.push(end, 2, -force)
        across = np.abs(solid.points[0] - tip) < NEAR
        here, there = patch(solid.points) & across, end(solid.points) & across
        own = solid.mean(moved, 2, here) - solid.mean(moved, 2, there)
        back = solid.mean(other, 2, here) - solid.mean(other, 2, there)
        share = max(0.0, own / (own - back))
        moved = (1.0 - share) * moved + share * other
    return -math.degrees(solid.slope(moved, patch(solid.points)))


def tilt_over_tongue(jig: Jig) -> float:
    """Tilt (degrees) of the plate against the rests, the router over the tongue's end."""
    solid = jig.solid()
    return strip_tilt(solid, jig.tip, jig.plate, jig.window_half, jig.width, jig.force / 2.0, jig.tongue / 2.0)


def tilt_beside(jig: Jig) -> float:
    """Tilt (degrees) of one side strip that bears the whole router: half the load symmetric, half antisymmetric."""
    halves = (jig.solid(antisymmetric=anti) for anti in (False, True))
    args = (jig.tip, jig.plate, jig.window_half, jig.width, jig.force / 2.0, 0.0)
    return sum(strip_tilt(half, *args) for half in halves)


def tongue_side(jig: Jig, force: float = 30.0) -> float:
    """Sideways give (mm) of the tongue's free end under a side load on its end face."""
    solid = jig.solid(antisymmetric=True)
    moved = solid.push(
        lambda p: (np.abs(p[0] - jig.tip) < NEAR) & (p[1] < jig.tongue / 2.0) & (p[2] > 0.0), 1, force / 2.0
    )
    tip = (np.abs(solid.points[0] - jig.tip) < NEAR) & (solid.points[1] < jig.tongue / 2.0 + NEAR)
    return solid.mean(moved, 1, tip & (solid.points[2] > -NEAR))


def tongue_pinned_side(jig: Jig, force: float = 30.0) -> float:
    """Largest sideways give (mm) of a tongue whose end is held, the side load about its middle."""
    solid = jig.solid(antisymmetric=True, pinned=True)
    middle = jig.fence + jig.start + 0.5 * jig.tongue_length
    side = jig.tongue / 2.0
    moved = solid.push(
        lambda p: (np.abs(p[1] - side) < NEAR) & (p[2] > 0.0) & (np.abs(p[0] - middle) < 8.0), 1, force / 2.0
    )
    x, y, z = solid.points
    on = (x > jig.fence + jig.start) & (x < jig.tip) & (y < side + NEAR) & (z > -NEAR) & (solid.axis == 1)
    return float(moved[on].max())


def board_tilt(jig: Jig, force: float = 30.0) -> float:
    """Tilt (degrees) of the rests against the plate under a force on the board at the angle rest, board not held.

    The plate's idle half is held as the bench does, 60 mm behind the board; what the plate bends there is taken off.
    """
    face, d1, d2 = jig.board / 2.0, jig.rest_depth, jig.rest_depth + jig.spacing
    solid = build(
        jig.blocks(),
        {0: [jig.tip - PATCH_HALF, jig.tip + PATCH_HALF, -face - 60.0], 2: [-d1, -d2, -d2 - 12.0, jig.plate / 2.0]},
        lambda p: (p[0] < -face - 60.0 + NEAR) & (np.abs(p[2]) < NEAR),
    )
    moved = solid.push(
        lambda p: (np.abs(p[0] - face) < NEAR) & (p[1] < 36.0) & (p[2] < -d2) & (p[2] > -d2 - 12.0), 0, force / 2.0
    )
    x, y, z = solid.points
    level = [solid.mean(moved, 0, (np.abs(x - face) < NEAR) & (y < 21.0) & (np.abs(z + d) < NEAR)) for d in (d1, d2)]
    strip = (np.abs(z - jig.plate) < NEAR) & (np.abs(x - jig.tip) < PATCH_HALF + NEAR) & (y > jig.window_half - NEAR)
    turn = (level[0] - level[1]) / jig.spacing + solid.slope(moved, strip)
    return abs(math.degrees(turn))
