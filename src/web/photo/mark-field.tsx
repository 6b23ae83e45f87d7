import { type KeyboardEvent, type PointerEvent, type ReactNode, useId, useState } from "react";
import type { PhotoMarks } from "../../app/api/photos.js";
import { announce } from "../state/announcer.js";

const steps: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};
const zooms = [1, 2, 4] as const;

/** A photo on which places are marked by a tap, or by arrow keys and Enter. */
export function MarkField({
  address,
  widthPixel,
  heightPixel,
  marks,
  onPlace,
}: {
  readonly address: string;
  readonly widthPixel: number;
  readonly heightPixel: number;
  readonly marks: PhotoMarks["marks"];
  readonly onPlace: (x: number, y: number) => void;
}): ReactNode {
  const [at, setAt] = useState({ x: widthPixel / 2, y: heightPixel / 2 });
  const [zoom, setZoom] = useState(0);
  const helpId = useId();
  const scale = zooms[zoom] ?? 1;
  const size = Math.max(widthPixel, heightPixel);
  const tap = (event: PointerEvent<SVGSVGElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * widthPixel;
    const y = ((event.clientY - box.top) / box.height) * heightPixel;
    setAt({ x, y });
    onPlace(Math.round(x), Math.round(y));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const step = steps[event.key];
    if (step !== undefined) {
      const by = size * (event.shiftKey ? 0.002 : 0.02);
      setAt((now) => ({
        x: Math.min(Math.max(now.x + step[0] * by, 0), widthPixel),
        y: Math.min(Math.max(now.y + step[1] * by, 0), heightPixel),
      }));
    } else if (event.key === "Enter" || event.key === " ") {
      onPlace(Math.round(at.x), Math.round(at.y));
    } else if (event.key === "+" || event.key === "-") {
      setZoom((now) => Math.min(Math.max(now + (event.key === "+" ? 1 : -1), 0), zooms.length - 1));
      announce(event.key === "+" ? "Closer" : "Wider");
    } else return;
    event.preventDefault();
  };
  return (
    <div className="mark-field">
      <div className="board-files">
        {zooms.map((factor, i) => (
          <button
            key={factor}
            type="button"
            className="plain-button"
            aria-pressed={zoom === i}
            onClick={() => setZoom(i)}
          >
            {factor}×
          </button>
        ))}
      </div>
      <div
        className="mark-window"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: an application is worked by keys, so it has to take the focus
        tabIndex={0}
        role="application"
        aria-roledescription="photo"
        aria-label="Photo of the board"
        aria-describedby={helpId}
        onKeyDown={onKeyDown}
      >
        <svg
          className="mark-picture"
          data-zoom={scale}
          viewBox={`0 0 ${widthPixel} ${heightPixel}`}
          onPointerUp={tap}
          aria-hidden="true"
        >
          <image href={address} width={widthPixel} height={heightPixel} />
          <path
            className="mark-cross"
            strokeWidth={size / 400}
            d={`M${at.x - size / 40} ${at.y}h${size / 20}M${at.x} ${at.y - size / 40}v${size / 20}`}
          />
          {marks.map(({ pin, x, y }, i) => (
            <g key={pin}>
              <circle className="mark-ring" cx={x} cy={y} r={size / 70} strokeWidth={size / 250} />
              <text className="mark-name" x={x + size / 50} y={y - size / 80} fontSize={size / 38}>
                {i + 1}: {pin}
              </text>
            </g>
          ))}
        </svg>
      </div>
      <p id={helpId} className="quiet">
        Tap the place, or move the cross with the arrow keys (with Shift in small steps) and press Enter. Plus
        and minus go closer and wider.
      </p>
    </div>
  );
}
