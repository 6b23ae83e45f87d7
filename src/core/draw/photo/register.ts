/** A point of the board in millimetres, component side up, or of a picture in pixels from its top left corner. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** A place of the board and where it is seen on the picture. */
export interface Mark {
  readonly board: Point;
  readonly photo: Point;
}

/** From the board to the picture: u = a x + c y + e, v = b x + d y + f, as `CanvasRenderingContext2D.transform` orders them. */
export interface Affine {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly d: number;
  readonly e: number;
  readonly f: number;
}

/** How a picture lies over its board. */
export interface Registration {
  readonly toPhoto: Affine;
  /** Root mean square of the distances between marks and where they should be, in millimetres of the board. */
  readonly errorMillimetre: number;
}

// Marks nearer to each other than this tell too little of turn and scale; a chip is about as long.
const leastSpanMillimetre = 15;
// Of three marks the third must lie this far from the line through the others, as a share of their distance.
const leastHeightShare = 0.08;

/**
 * Lays a picture over its board by marked places. Three marks or more that do not lie on one line give any affine map
 * (turn, two scales, shear: a camera held askew), by least squares from the normal equations; two, or more on one line,
 * give turn, one scale and shift, as a camera held straight sees it, mirrored for a picture of the solder side. That
 * similarity is the least-squares one of B. K. P. Horn, J. Opt. Soc. Am. A 4(4), 1987, pp. 629-642, in two dimensions;
 * from memory. Undefined for fewer than two marks, for marks closer together than 15 mm, or all on one pixel.
 * O(marks).
 */
export function registerPhoto(
  marks: readonly Mark[],
  side: "component" | "solder",
): Registration | undefined {
  const [first] = marks;
  if (first === undefined || marks.length < 2 || spanOf(marks) < leastSpanMillimetre) return undefined;
  const toPhoto = (isFlat(marks) ? undefined : affineOf(marks)) ?? similarityOf(marks, side === "solder");
  const scale = Math.sqrt(Math.abs(toPhoto.a * toPhoto.d - toPhoto.b * toPhoto.c));
  if (!(scale > 1e-6)) return undefined;
  const squares = marks.map(({ board, photo }) => {
    const seen = mapPoint(toPhoto, board);
    return (seen.x - photo.x) ** 2 + (seen.y - photo.y) ** 2;
  });
  const meanSquare = squares.reduce((sum, square) => sum + square, 0) / squares.length;
  return { toPhoto, errorMillimetre: Math.sqrt(meanSquare) / scale };
}

/** Where a map sends a point. */
export function mapPoint({ a, b, c, d, e, f }: Affine, { x, y }: Point): Point {
  return { x: a * x + c * y + e, y: b * x + d * y + f };
}

/** The map the other way round. Throws `RangeError` for one that cannot be turned round. */
export function inverseOf({ a, b, c, d, e, f }: Affine): Affine {
  const det = a * d - b * c;
  if (!(Math.abs(det) > 1e-12)) throw new RangeError(`the map has no inverse, its determinant is ${det}`);
  return {
    a: d / det,
    b: -b / det,
    c: -c / det,
    d: a / det,
    e: (c * f - d * e) / det,
    f: (b * e - a * f) / det,
  };
}

function spanOf(marks: readonly Mark[]): number {
  let most = 0;
  for (const [i, { board: one }] of marks.entries())
    for (const { board: other } of marks.slice(i + 1))
      most = Math.max(most, Math.hypot(one.x - other.x, one.y - other.y));
  return most;
}

interface Moments {
  readonly middle: Mark;
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

function momentsOf(marks: readonly Mark[]): Moments {
  const mean = (pick: (mark: Mark) => number): number =>
    marks.reduce((sum, mark) => sum + pick(mark), 0) / marks.length;
  const middle = {
    board: { x: mean(({ board }) => board.x), y: mean(({ board }) => board.y) },
    photo: { x: mean(({ photo }) => photo.x), y: mean(({ photo }) => photo.y) },
  };
  const sum = (pick: (dx: number, dy: number) => number): number =>
    marks.reduce((total, { board }) => total + pick(board.x - middle.board.x, board.y - middle.board.y), 0);
  return {
    middle,
    xx: sum((dx) => dx * dx),
    xy: sum((dx, dy) => dx * dy),
    yy: sum((_, dy) => dy * dy),
  };
}

/** True if the marks lie on one line, or nearly: the smaller axis of their cloud against the larger. */
function isFlat(marks: readonly Mark[]): boolean {
  if (marks.length < 3) return true;
  const { xx, xy, yy } = momentsOf(marks);
  const half = (xx + yy) / 2;
  const root = Math.hypot((xx - yy) / 2, xy);
  return half - root < leastHeightShare ** 2 * (half + root);
}

function affineOf(marks: readonly Mark[]): Affine | undefined {
  const { middle, xx, xy, yy } = momentsOf(marks);
  const det = xx * yy - xy * xy;
  if (!(det > 1e-9)) return undefined;
  const row = (pick: (mark: Mark) => number, mean: number): readonly [number, number, number] => {
    let [sx, sy] = [0, 0];
    for (const mark of marks) {
      sx += (mark.board.x - middle.board.x) * (pick(mark) - mean);
      sy += (mark.board.y - middle.board.y) * (pick(mark) - mean);
    }
    const [px, py] = [(sx * yy - sy * xy) / det, (sy * xx - sx * xy) / det];
    return [px, py, mean - px * middle.board.x - py * middle.board.y];
  };
  const [a, c, e] = row(({ photo }) => photo.x, middle.photo.x);
  const [b, d, f] = row(({ photo }) => photo.y, middle.photo.y);
  return { a, b, c, d, e, f };
}

/** Points as complex numbers: w = s z + t, with x turned round for a mirrored picture. */
function similarityOf(marks: readonly Mark[], isMirrored: boolean): Affine {
  const { middle } = momentsOf(marks);
  const flip = isMirrored ? -1 : 1;
  let [real, imaginary, norm] = [0, 0, 0];
  for (const { board, photo } of marks) {
    const [x, y] = [flip * (board.x - middle.board.x), board.y - middle.board.y];
    const [u, v] = [photo.x - middle.photo.x, photo.y - middle.photo.y];
    real += x * u + y * v;
    imaginary += x * v - y * u;
    norm += x * x + y * y;
  }
  const [cos, sin] = [real / norm, imaginary / norm];
  const [a, b, c, d] = [flip * cos, flip * sin, -sin, cos];
  return {
    a,
    b,
    c,
    d,
    e: middle.photo.x - a * middle.board.x - c * middle.board.y,
    f: middle.photo.y - b * middle.board.x - d * middle.board.y,
  };
}
