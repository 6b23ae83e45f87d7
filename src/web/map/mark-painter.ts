import { labelFont, type Painting } from "./painter.js";
import { type MapMarks, placeOf, type Scene, type Spot } from "./scene.js";

type Context = CanvasRenderingContext2D;

/** Paints what is marked, over the board: the chosen spot, and the probe points with their ring and flag. */
export function paintMarks(
  context: Context,
  scene: Scene,
  marks: MapMarks,
  { view, size, deviceRatio, colours, pulse }: Painting & { readonly pulse: number },
): void {
  const scale = view.pixelPerMillimetre;
  context.setTransform(deviceRatio, 0, 0, deviceRatio, 0, 0);
  const across = (x: number): number => (x - view.left) * scale;
  const down = (y: number): number => (y - view.top) * scale;
  for (const spot of marks.found) paintFound(spot);
  if (marks.chosen !== null) paintChosen(marks.chosen);
  for (const [i, probe] of marks.probes.entries()) paintProbe(probe, i);

  /** A double ring, light and dark, which shows on the map and on any photo. */
  function paintFound(spot: Spot): void {
    const place = placeOf(scene, spot);
    const found = scene.parts.find(({ part }) => part.ref === spot.ref);
    if (place === undefined || found === undefined) return;
    context.beginPath();
    if (spot.pin === null) {
      const { x, y, width, height } = found.body;
      context.roundRect(across(x) - 4, down(y) - 4, width * scale + 8, height * scale + 8, 6);
    } else context.arc(across(place.x), down(place.y), Math.max(7, 1.2 * scale), 0, 2 * Math.PI);
    context.lineWidth = 6;
    context.strokeStyle = colours.part;
    context.stroke();
    context.lineWidth = 3;
    context.strokeStyle = colours.chosen;
    context.stroke();
  }

  function paintChosen(spot: Spot): void {
    const place = placeOf(scene, spot);
    const found = scene.parts.find(({ part }) => part.ref === spot.ref);
    if (place === undefined || found === undefined) return;
    context.strokeStyle = colours.chosen;
    context.lineWidth = 3;
    context.setLineDash([6, 4]);
    context.beginPath();
    if (spot.pin === null) {
      const { x, y, width, height } = found.body;
      context.roundRect(across(x) - 6, down(y) - 6, width * scale + 12, height * scale + 12, 6);
    } else context.arc(across(place.x), down(place.y), Math.max(10, 1.4 * scale), 0, 2 * Math.PI);
    context.stroke();
    context.setLineDash([]);
  }

  function paintProbe(spot: Spot, index: number): void {
    const place = placeOf(scene, spot);
    if (place === undefined) return;
    const x = across(place.x);
    const y = down(place.y);
    const radius = Math.max(11, Math.min(place.reach * 1.4 * scale, 40));
    context.lineWidth = 7;
    context.strokeStyle = colours.board;
    circle(x, y, radius);
    context.stroke();
    context.lineWidth = 3.5;
    context.strokeStyle = colours.probe;
    circle(x, y, radius);
    context.stroke();
    context.globalAlpha = 0.55 * (1 - pulse);
    circle(x, y, radius + 16 * pulse);
    context.stroke();
    context.globalAlpha = 1;
    context.fillStyle = colours.probe;
    circle(x, y, spot.pin === null ? 4 : Math.max(3.5, 0.55 * scale));
    context.fill();
    paintFlag(spot, index, { x, above: y - radius - 6, below: y + radius + 6 });
  }

  function paintFlag(spot: Spot, index: number, at: { x: number; above: number; below: number }): void {
    const name = spot.pin === null ? spot.ref : `${spot.ref} · ${spot.pin}`;
    const text = marks.probes.length > 1 ? `${index + 1}: ${name}` : name;
    context.font = `700 15px ${labelFont}`;
    const width = context.measureText(text).width + 16;
    const x = Math.min(Math.max(at.x - width / 2, 4), size.width - width - 4);
    const y = at.above - 24 < 4 ? at.below : at.above - 24;
    context.fillStyle = colours.probe;
    context.beginPath();
    context.roundRect(x, y, width, 24, 5);
    context.fill();
    context.fillStyle = colours.flagInk;
    context.textAlign = "left";
    context.textBaseline = "middle";
    context.fillText(text, x + 8, y + 12.5);
  }

  function circle(x: number, y: number, radius: number): void {
    context.beginPath();
    context.arc(x, y, radius, 0, 2 * Math.PI);
  }
}
