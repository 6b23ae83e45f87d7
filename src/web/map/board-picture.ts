import { inverseOf } from "../../core/draw/photo/register.js";
import { type Painting, type PhotoUnder, paintBoard } from "./painter.js";
import type { Scene } from "./scene.js";
import type { MapView, WindowSize } from "./view.js";

// How far the picture reaches beyond the window on each side, as a share of the window.
const margin = 0.3;

/**
 * The board painted once, somewhat larger than the window, and copied into it for as long as nothing changes but where
 * the window lies: a pan then costs the copy of a picture and not the painting of every part.
 */
export class BoardPicture {
  private readonly canvas = document.createElement("canvas");
  /** The map alone, where it lies over a photo. */
  private layer: HTMLCanvasElement | undefined;
  private scene: Scene | undefined;
  private painted: Painting | undefined;

  /** Copies the board into `context`, painting it anew where what there is does not do. */
  show(context: CanvasRenderingContext2D, scene: Scene, painting: Painting): void {
    const { view, deviceRatio } = painting;
    const scale = view.pixelPerMillimetre * deviceRatio;
    if (this.painted === undefined || this.scene !== scene || !covers(this.painted, painting)) {
      this.paint(scene, painting);
    }
    const from = this.painted?.view ?? view;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.drawImage(
      this.canvas,
      Math.round((from.left - view.left) * scale),
      Math.round((from.top - view.top) * scale),
    );
  }

  private paint(scene: Scene, painting: Painting): void {
    const { view, size, deviceRatio } = painting;
    const larger: WindowSize = {
      width: Math.ceil(size.width * (1 + 2 * margin)),
      height: Math.ceil(size.height * (1 + 2 * margin)),
    };
    const moved: MapView = {
      ...view,
      left: view.left - (size.width * margin) / view.pixelPerMillimetre,
      top: view.top - (size.height * margin) / view.pixelPerMillimetre,
    };
    this.canvas.width = larger.width * deviceRatio;
    this.canvas.height = larger.height * deviceRatio;
    const context = this.canvas.getContext("2d", { alpha: false });
    if (context === null) return;
    this.scene = scene;
    this.painted = { ...painting, view: moved, size: larger };
    if (painting.photo === undefined) paintBoard(context, scene, this.painted);
    else this.paintOver(context, scene, this.painted, painting.photo);
  }

  /** The photo with the map over it, as strong as it is wished. */
  private paintOver(
    context: CanvasRenderingContext2D,
    scene: Scene,
    painting: Painting,
    photo: PhotoUnder,
  ): void {
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillStyle = painting.colours.bench;
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    paintPhoto(context, scene, painting, photo);
    this.layer ??= document.createElement("canvas");
    this.layer.width = this.canvas.width;
    this.layer.height = this.canvas.height;
    const over = this.layer.getContext("2d");
    if (over === null) return;
    paintBoard(over, scene, painting, "nothing");
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.globalAlpha = photo.strength;
    context.drawImage(this.layer, 0, 0);
    context.globalAlpha = 1;
  }
}

function paintPhoto(
  context: CanvasRenderingContext2D,
  scene: Scene,
  { view, deviceRatio }: Painting,
  photo: PhotoUnder,
): void {
  const { a, b, c, d, e, f } = inverseOf(photo.toPhoto);
  const scale = view.pixelPerMillimetre * deviceRatio;
  // Seen from the solder side, left and right of the board are exchanged.
  const [turn, shift] = scene.mirrored ? [-1, scene.map.widthMillimetre] : [1, 0];
  context.setTransform(
    turn * a * scale,
    b * scale,
    turn * c * scale,
    d * scale,
    (turn * e + shift - view.left) * scale,
    (f - view.top) * scale,
  );
  context.imageSmoothingQuality = "medium";
  context.drawImage(photo.image, 0, 0);
}

/** True if what was painted shows all that is wanted, at the same scale, in the same colours and over the same photo. */
function covers(painted: Painting, wanted: Painting): boolean {
  const { view: from } = painted;
  const { view } = wanted;
  const scale = view.pixelPerMillimetre;
  if (from.pixelPerMillimetre !== scale) return false;
  if (painted.deviceRatio !== wanted.deviceRatio || painted.colours !== wanted.colours) return false;
  if (painted.photo !== wanted.photo) return false;
  return (
    view.left >= from.left &&
    view.top >= from.top &&
    view.left + wanted.size.width / scale <= from.left + painted.size.width / scale &&
    view.top + wanted.size.height / scale <= from.top + painted.size.height / scale
  );
}
