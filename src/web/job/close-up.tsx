import type { ReactNode } from "react";
import type { MapPart } from "../../core/draw/board-map.js";

const marginMillimetre = 3.4;
// Small parts are shown with what lies round them, or nobody could tell where they are.
const leastMillimetre = 24;

/**
 * One part as it lies on the board among its neighbours, with the pin to touch: seen from the side on which the user
 * works, pin 1 as a square, the pin counted from it.
 */
export function CloseUp({
  part,
  parts,
  pin,
  mirrored,
  named,
}: {
  readonly part: MapPart;
  /** All parts of the board. */
  readonly parts: readonly MapPart[];
  readonly pin: string | null;
  readonly mirrored: boolean;
  /** True if the drawing has to say which part and pin it shows. */
  readonly named: boolean;
}): ReactNode {
  const frame = frameOf(part);
  const seen = (x: number): number => (mirrored ? 2 * frame.x + frame.width - x : x);
  const target = part.pins.find((one) => one.pin === pin);
  const words = target === undefined ? part.ref : `${part.ref}, pin ${target.pin}`;
  const side = mirrored ? "solder side" : "component side";
  const { body } = part;
  const middle = seen(body.x + body.width / 2);
  const neighbours = parts.filter((one) => one.ref !== part.ref && touches(one, frame));
  return (
    <figure className="close-up">
      <svg
        viewBox={`${frame.x} ${frame.y} ${frame.width} ${frame.height}`}
        role="img"
        aria-label={`${words}, ${side}, pin 1 is the square`}
      >
        {neighbours.map((one) => (
          <g key={one.ref}>
            <Body part={one} seen={seen} name="close-up-other" />
            {one.shape !== "axial" && one.shape !== "disc" && (
              <text
                className="close-up-label"
                x={seen(one.body.x + one.body.width / 2)}
                y={labelHeight(one, frame)}
              >
                {one.ref}
              </text>
            )}
          </g>
        ))}
        <Body part={part} seen={seen} name="close-up-body" />
        {part.shape === "chip" && part.rotationDegree === 0 && (
          <path className="close-up-notch" d={`M${middle - 1.2} ${body.y}a1.2 1.2 0 0 0 2.4 0`} />
        )}
        {part.pins.map((one) =>
          one.pin === part.pinOne ? (
            <rect
              key={one.pin}
              className="close-up-one"
              x={seen(one.x) - 0.95}
              y={one.y - 0.95}
              width={1.9}
              height={1.9}
            />
          ) : (
            <circle key={one.pin} className="close-up-pad" cx={seen(one.x)} cy={one.y} r={0.85} />
          ),
        )}
        {target !== undefined && (
          <>
            <circle className="close-up-ring" cx={seen(target.x)} cy={target.y} r={2} />
            <circle className="close-up-tip" cx={seen(target.x)} cy={target.y} r={1} />
          </>
        )}
      </svg>
      <figcaption>
        {named && (
          <span className="place">{target === undefined ? part.ref : `${part.ref}.${target.pin}`}</span>
        )}
        <span className="close-up-side">{side}</span>
      </figcaption>
    </figure>
  );
}

interface Frame {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

function frameOf({ body, pins }: MapPart): Frame {
  const left = Math.min(body.x, ...pins.map((one) => one.x)) - marginMillimetre;
  const right = Math.max(body.x + body.width, ...pins.map((one) => one.x)) + marginMillimetre;
  const top = Math.min(body.y, ...pins.map((one) => one.y)) - marginMillimetre;
  const bottom = Math.max(body.y + body.height, ...pins.map((one) => one.y)) + marginMillimetre;
  const width = Math.max(right - left, leastMillimetre);
  const height = Math.max(bottom - top, leastMillimetre);
  return { x: (left + right - width) / 2, y: (top + bottom - height) / 2, width, height };
}

function touches({ body }: MapPart, frame: Frame): boolean {
  return (
    body.x < frame.x + frame.width &&
    frame.x < body.x + body.width &&
    body.y < frame.y + frame.height &&
    frame.y < body.y + body.height
  );
}

/** Middle of what of a neighbour is to be seen. */
function labelHeight({ body }: MapPart, frame: Frame): number {
  const top = Math.max(body.y, frame.y);
  const bottom = Math.min(body.y + body.height, frame.y + frame.height);
  return (top + bottom) / 2 + 0.8;
}

function Body({
  part: { body, shape },
  seen,
  name,
}: {
  readonly part: MapPart;
  readonly seen: (x: number) => number;
  readonly name: string;
}): ReactNode {
  const round = shape === "round" || shape === "point" ? body.width / 2 : 0.6;
  const left = Math.min(seen(body.x), seen(body.x + body.width));
  return <rect className={name} x={left} y={body.y} width={body.width} height={body.height} rx={round} />;
}
