import type { ReactNode } from "react";
import type { BoardMap } from "../../core/draw/board-map.js";

/** A board in small: its outline and the bodies of its larger parts, with one part marked. */
export function BoardThumbnail({
  map,
  marked,
}: {
  readonly map: BoardMap | null;
  readonly marked?: string | undefined;
}): ReactNode {
  if (map === null) return <div className="thumbnail" aria-hidden="true" />;
  const { widthMillimetre: width, heightMillimetre: height } = map;
  const large = map.parts.filter(
    (part) => part.shape === "chip" || part.shape === "edge" || part.ref === marked,
  );
  return (
    <svg
      className="thumbnail"
      viewBox={`-4 -4 ${width + 8} ${height + 8}`}
      aria-hidden="true"
      focusable="false"
    >
      <rect className="thumbnail-board" width={width} height={height} rx={4} />
      {large.map(({ ref, body }) => (
        <rect
          key={ref}
          className={ref === marked ? "thumbnail-marked" : "thumbnail-part"}
          x={body.x}
          y={body.y}
          width={body.width}
          height={body.height}
          rx={1}
        />
      ))}
    </svg>
  );
}
