import { type ReactNode, useId } from "react";
import type { BoardMap } from "../../core/draw/board-map.js";
import { type FoundOnMap, touchPoints } from "../../core/draw/find-on-map.js";
import type { Spot } from "./scene.js";

const shownPoints = 10;

/** Finds parts, pins, lines and types by typing, and lists where a line can be touched with a probe. */
export function MapFind({
  map,
  wanted,
  found,
  onWanted,
  onGo,
}: {
  readonly map: BoardMap;
  readonly wanted: string;
  readonly found: FoundOnMap;
  readonly onWanted: (text: string) => void;
  readonly onGo: (spot: Spot) => void;
}): ReactNode {
  const saysId = useId();
  const points = found.net === undefined ? [] : touchPoints(map, found.net);
  const [first] = found.spots;
  return (
    <>
      <search className="map-find">
        <label>
          Find
          <input
            type="search"
            maxLength={120}
            placeholder="part, line or type"
            autoComplete="off"
            spellCheck={false}
            value={wanted}
            aria-describedby={saysId}
            onChange={(event) => onWanted(event.target.value)}
            onKeyDown={(event) => {
              if (event.key === "Escape") onWanted("");
              if (event.key === "Enter" && first !== undefined) onGo(first);
            }}
          />
        </label>
        <p id={saysId} className="map-found" role="status">
          {found.says}
        </p>
      </search>
      {points.length > 0 && (
        <ul className="map-touch" aria-label={`Where to touch ${found.net}, best first`}>
          {points.slice(0, shownPoints).map(({ ref, pin, pinName }) => (
            <li key={`${ref}.${pin}`}>
              <button type="button" className="plain-button" onClick={() => onGo({ ref, pin })}>
                <span className="place">
                  {ref}.{pin}
                </span>{" "}
                {pinName}
              </button>
            </li>
          ))}
          {points.length > shownPoints && <li className="quiet">and {points.length - shownPoints} more</li>}
        </ul>
      )}
    </>
  );
}
