import type { ReactNode } from "react";
import type { MapPart } from "../../core/draw/board-map.js";

/**
 * One part as it lies on the board, with the pin to touch: seen from the side on which the user works, pin 1 as a
 * square, the pin counted from it.
 */
export function CloseUp({
  part,
  pin,
  mirrored,
  named,
}: {
  readonly part: MapPart;
  readonly pin: string | null;
  readonly mirrored: boolean;
  /** True if the drawing has to say which part and pin it shows. */
  readonly named: boolean;
}): ReactNode {
  const { body } = part;
  const margin = 3.4;
  const left = Math.min(body.x, ...part.pins.map((one) => one.x)) - margin;
  const right = Math.max(body.x + body.width, ...part.pins.map((one) => one.x)) + margin;
  const top = Math.min(body.y, ...part.pins.map((one) => one.y)) - margin;
  const bottom = Math.max(body.y + body.height, ...part.pins.map((one) => one.y)) + margin;
  const seen = (x: number): number => (mirrored ? left + right - x : x);
  const bodyLeft = mirrored ? seen(body.x + body.width) : body.x;
  const target = part.pins.find((one) => one.pin === pin);
  const round = part.shape === "round" || part.shape === "point" ? body.width / 2 : 0.6;
  const middle = bodyLeft + body.width / 2;
  const showsNotch = part.shape === "chip" && part.rotationDegree === 0;
  const words = target === undefined ? part.ref : `${part.ref}, pin ${target.pin}`;
  return (
    <figure className="close-up">
      <svg
        viewBox={`${left} ${top} ${right - left} ${bottom - top}`}
        role="img"
        aria-label={`${words}, ${mirrored ? "solder side" : "component side"}, pin 1 is the square`}
      >
        <rect
          className="close-up-body"
          x={bodyLeft}
          y={body.y}
          width={body.width}
          height={body.height}
          rx={round}
        />
        {showsNotch && (
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
        <span className="close-up-side">{mirrored ? "solder side" : "component side"}</span>
      </figcaption>
    </figure>
  );
}
