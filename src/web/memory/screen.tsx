import { type ReactNode, useMemo } from "react";
import { drawnScreen, type ScreenPicture } from "../../core/draw/memory-picture.js";

/** A screen, light on dark as screens are, with what it shows in words below it. */
export function Screen({
  title,
  says,
  picture,
}: {
  readonly title: string;
  readonly says: string;
  readonly picture: ScreenPicture;
}): ReactNode {
  const { width, height, lit, rows } = useMemo(() => drawnScreen(picture), [picture]);
  const edge = Math.round(width / 24);
  return (
    <figure className="screen">
      <svg
        viewBox={`${-edge} ${-edge} ${width + 2 * edge} ${height + 2 * edge}`}
        role="img"
        aria-label={`${title}. ${says}`}
      >
        <rect
          className="screen-ground"
          x={-edge}
          y={-edge}
          width={width + 2 * edge}
          height={height + 2 * edge}
          rx={edge}
        />
        <path className="screen-lit" d={lit} />
        {rows.map(({ y, plain, inverse }) => (
          <g key={y}>
            <Row className="screen-text" text={plain} y={y} width={width} />
            <Row className="screen-text-inverse" text={inverse} y={y} width={width} />
          </g>
        ))}
      </svg>
      <figcaption>
        <strong>{title}</strong> {says}
      </figcaption>
    </figure>
  );
}

function Row({
  className,
  text,
  y,
  width,
}: {
  readonly className: string;
  readonly text: string;
  readonly y: number;
  readonly width: number;
}): ReactNode {
  if (text.trim() === "") return null;
  return (
    <text className={className} x={0} y={y + 6.6} textLength={width} lengthAdjust="spacing">
      {text}
    </text>
  );
}

/** Dots, as many as there are digits times four. */
export function dotsOf(hex: string): Uint8Array {
  const dots = new Uint8Array(hex.length * 4);
  for (let k = 0; k < hex.length; k += 1) {
    const four = Number.parseInt(hex.charAt(k), 16);
    for (let j = 0; j < 4; j += 1) dots[k * 4 + j] = (four >> (3 - j)) & 1;
  }
  return dots;
}

/** Words of two digits each. */
export function wordsOf(hex: string): Uint8Array {
  return Uint8Array.from({ length: hex.length / 2 }, (_, k) =>
    Number.parseInt(hex.slice(2 * k, 2 * k + 2), 16),
  );
}
