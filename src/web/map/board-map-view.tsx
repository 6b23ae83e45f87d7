import { type KeyboardEvent, type ReactNode, useCallback, useId, useMemo, useState } from "react";
import type { BoardMap } from "../../core/draw/board-map.js";
import { findOnMap } from "../../core/draw/find-on-map.js";
import { type Direction, stepTowards } from "../../core/draw/walk.js";
import { PhotoDialog } from "../photo/photo-dialog.jsx";
import { usePhoto } from "../photo/use-photo.js";
import { announce } from "../state/announcer.js";
import { mapStrength, solderSide } from "../state/keepsakes.js";
import { useStore } from "../state/store.js";
import { Icon } from "../ui/icon.jsx";
import { MapFind } from "./map-find.jsx";
import type { PhotoUnder } from "./painter.js";
import { createScene, hitTest, type MapMarks, placeOf, type Scene, type Spot } from "./scene.js";
import { spotText } from "./spot-text.js";
import { useMapCanvas } from "./use-map-canvas.js";
import { useMapGestures } from "./use-map-gestures.js";
import { centreOn, fitBox, toBoard, zoomAt } from "./view.js";

interface Props {
  readonly map: BoardMap;
  readonly suspicion: ReadonlyMap<string, number>;
  readonly probes: readonly Spot[];
  /** What can be done with the spot that was chosen. */
  readonly actions: (spot: Spot) => ReactNode;
  /** Enter on a pin, or a tap on one. */
  readonly onPick?: (spot: Spot) => void;
  /** Photos of the board that the map can be laid over; absent where there can be none. */
  readonly photos?: { readonly job: string };
  /** Stands between the map and its spot: what is being done with it at the moment. */
  readonly children?: ReactNode;
}

const directions: Readonly<Record<string, Direction>> = {
  ArrowLeft: "left",
  ArrowRight: "right",
  ArrowUp: "up",
  ArrowDown: "down",
};
const closeUpMillimetre = 46;

/**
 * The board from above or from the solder side: panned and zoomed by touch, wheel and keys, walked by arrow keys from
 * part to part and, after Enter, from pin to pin.
 */
export function BoardMapView(props: Props): ReactNode {
  return props.photos === undefined ? (
    <PlainMap {...props} />
  ) : (
    <PhotoMap {...props} job={props.photos.job} />
  );
}

/** The map with photos of the board, one for each side. */
function PhotoMap({ job, ...props }: Props & { readonly job: string }): ReactNode {
  const { map } = props;
  const side = useStore(solderSide) ? "solder" : "component";
  const { photo, laid, reload } = usePhoto(job, map, side);
  const strength = useStore(mapStrength);
  const [open, setOpen] = useState(false);
  const under = useMemo<PhotoUnder | undefined>(
    () =>
      laid === null
        ? undefined
        : { image: laid.image, toPhoto: laid.registration.toPhoto, strength: strength / 100 },
    [laid, strength],
  );
  return (
    <>
      <PlainMap {...props} under={under}>
        <div className="map-photo">
          {laid !== null && (
            <label>
              Map over photo
              <input
                type="range"
                min={0}
                max={100}
                step={5}
                value={strength}
                onChange={(event) => mapStrength.set(Number(event.target.value))}
              />
            </label>
          )}
          <button type="button" className="plain-button" onClick={() => setOpen(true)}>
            {photo === null ? "Lay it over a photo" : laid === null ? "Mark the photo" : "Photo"}
          </button>
        </div>
        {props.children}
      </PlainMap>
      {open && (
        <PhotoDialog
          job={job}
          map={map}
          side={side}
          photo={photo}
          onChanged={reload}
          onClose={() => setOpen(false)}
        />
      )}
    </>
  );
}

function PlainMap({
  map,
  suspicion,
  probes,
  actions,
  onPick,
  under,
  children,
}: Props & { readonly under?: PhotoUnder | undefined }): ReactNode {
  const mirrored = useStore(solderSide);
  const [chosen, setChosen] = useState<Spot | null>(null);
  const scene = useMemo(() => createScene(map, suspicion, mirrored), [map, suspicion, mirrored]);
  const [wanted, setWanted] = useState("");
  const found = useMemo(() => findOnMap(map, wanted), [map, wanted]);
  const marks = useMemo<MapMarks>(
    () => ({ suspicion, probes, chosen, found: found.spots }),
    [suspicion, probes, chosen, found],
  );
  const canvas = useMapCanvas(scene, marks, under);
  const stable = useStable(canvas);
  const helpId = useId();

  const choose = useCallback(
    (spot: Spot | null) => {
      setChosen(spot);
      if (spot !== null) announce(spotText(map.parts, spot, suspicion.get(spot.ref)));
    },
    [map, suspicion],
  );

  const onTap = useCallback(
    (at: { x: number; y: number }, byTouch: boolean) => {
      const view = stable.view();
      if (view === undefined) return;
      const millimetre = (pixels: number): number => pixels / view.pixelPerMillimetre;
      // A finger covers more than one pin: pins can be touched once they are far enough apart on the glass.
      const legible = view.pixelPerMillimetre * 2.54 > (byTouch ? 16 : 8);
      const spot = hitTest(scene, toBoard(view, at), {
        pinReach: legible ? Math.min(1.27, millimetre(byTouch ? 22 : 10)) : 0,
        partReach: millimetre(byTouch ? 10 : 4),
      });
      choose(spot);
      if (spot?.pin != null) onPick?.(spot);
    },
    [stable, scene, choose, onPick],
  );
  useMapGestures(stable, onTap);

  const lookAt = (spot: Spot | undefined): void => {
    const view = canvas.view();
    const place = spot === undefined ? undefined : placeOf(scene, spot);
    if (view === undefined || place === undefined) return;
    const half = closeUpMillimetre / 2;
    canvas.setView(
      fitBox(
        { x: place.x - half, y: place.y - half, width: closeUpMillimetre, height: closeUpMillimetre },
        canvas.size(),
      ),
    );
  };
  const zoom = (factor: number): void => {
    const view = canvas.view();
    const { width, height } = canvas.size();
    if (view !== undefined) canvas.setView(zoomAt(view, factor, { x: width / 2, y: height / 2 }));
  };
  const follow = (spot: Spot): void => {
    choose(spot);
    const view = canvas.view();
    const place = placeOf(scene, spot);
    const { width, height } = canvas.size();
    if (view === undefined || place === undefined) return;
    const x = (place.x - view.left) * view.pixelPerMillimetre;
    const y = (place.y - view.top) * view.pixelPerMillimetre;
    const margin = 50;
    if (x < margin || y < margin || x > width - margin || y > height - margin) {
      canvas.setView(centreOn(view, place, canvas.size()));
    }
  };

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const direction = directions[event.key];
    if (direction !== undefined) {
      const next = chosen === null ? (probes[0] ?? firstSpot(scene)) : nextSpot(scene, chosen, direction);
      if (next !== undefined) follow(next);
    } else if (event.key === "Enter" || event.key === " ") {
      if (chosen === null) return;
      const pins = scene.parts.find(({ part }) => part.ref === chosen.ref)?.pins ?? [];
      if (chosen.pin !== null) onPick?.(chosen);
      else if (pins[0] !== undefined) follow({ ref: chosen.ref, pin: pins[0].pin });
    } else if (event.key === "Escape") {
      if (chosen === null) return;
      choose(chosen.pin === null ? null : { ref: chosen.ref, pin: null });
    } else if (event.key === "+" || event.key === "=") zoom(1.4);
    else if (event.key === "-") zoom(1 / 1.4);
    else if (event.key === "0") canvas.showAll();
    else if (event.key === "p") lookAt(probes[0]);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };

  const chosenNet = netOf(map, chosen);

  return (
    <section className="map" aria-label="Board map">
      <MapFind
        map={map}
        wanted={wanted}
        found={found}
        onWanted={setWanted}
        onGo={(spot) => {
          choose(spot);
          lookAt(spot);
        }}
      />
      <div className="map-window">
        <div
          className="map-desk"
          // biome-ignore lint/a11y/noNoninteractiveTabindex: an application is worked by keys, so it has to take the focus
          tabIndex={0}
          role="application"
          aria-roledescription="board map"
          aria-label={`Map of ${map.title}, ${mirrored ? "solder side" : "component side"}`}
          aria-describedby={helpId}
          onKeyDown={onKeyDown}
        >
          <canvas ref={canvas.canvas} className="map-canvas" />
        </div>
        <p id={helpId} className="only-heard">
          Arrow keys go from part to part. Enter goes to its pins, Escape back. Plus and minus zoom, 0 shows
          the whole board, p goes to the probe point.
        </p>
      </div>
      <div className="map-bar">
        <button
          type="button"
          className="map-side"
          aria-pressed={mirrored}
          onClick={() => solderSide.set(!mirrored)}
        >
          <Icon name="turn" />
          {mirrored ? "Solder side" : "Component side"}
        </button>
        <div className="map-tools">
          {probes.length > 0 && (
            <button
              type="button"
              className="tool tool-probe"
              onClick={() => {
                lookAt(probes[0]);
                // On a narrow screen the map may have been scrolled away from its own tools.
                canvas.canvas.current?.scrollIntoView({ block: "nearest" });
              }}
              aria-label="Go to the probe point"
            >
              <Icon name="probe" />
            </button>
          )}
          <button type="button" className="tool" onClick={() => zoom(1 / 1.5)} aria-label="Zoom out">
            <Icon name="minus" />
          </button>
          <button type="button" className="tool" onClick={() => zoom(1.5)} aria-label="Zoom in">
            <Icon name="plus" />
          </button>
          <button type="button" className="tool" onClick={canvas.showAll} aria-label="Show the whole board">
            <Icon name="whole" />
          </button>
        </div>
      </div>
      {children}
      <div className="map-spot">
        {chosen === null ? (
          <p className="quiet">Tap a part or a pin to open it or to enter what it shows.</p>
        ) : (
          <>
            <p className="map-spot-words">{spotText(map.parts, chosen, suspicion.get(chosen.ref))}</p>
            <div className="map-spot-actions">
              {chosenNet !== null && (
                <button type="button" className="plain-button" onClick={() => setWanted(chosenNet)}>
                  Where else
                </button>
              )}
              {actions(chosen)}
            </div>
          </>
        )}
      </div>
    </section>
  );
}

/** The line that a chosen pin hangs on; null for a part, an open pin, and nothing. */
function netOf(map: BoardMap, spot: Spot | null): string | null {
  if (spot === null || spot.pin === null) return null;
  const part = map.parts.find(({ ref }) => ref === spot.ref);
  return part?.pins.find(({ pin }) => pin === spot.pin)?.net ?? null;
}

/** The map canvas as one object that stays the same, for effects that must not begin anew with every render. */
function useStable<T extends object>(value: T): T {
  const [kept] = useState(value);
  return kept;
}

function firstSpot(scene: Scene): Spot | undefined {
  const [first] = scene.parts.filter(({ part }) => part.shape === "chip");
  return first === undefined ? undefined : { ref: first.part.ref, pin: null };
}

function nextSpot(scene: Scene, chosen: Spot, direction: Direction): Spot | undefined {
  const from = placeOf(scene, chosen);
  if (from === undefined) return firstSpot(scene);
  if (chosen.pin === null) {
    const spots = scene.parts.map(({ part, body }) => ({
      ref: part.ref,
      pin: null,
      x: body.x + body.width / 2,
      y: body.y + body.height / 2,
    }));
    return stepTowards(from, direction, spots);
  }
  const pins = scene.parts.find(({ part }) => part.ref === chosen.ref)?.pins ?? [];
  const spots = pins.map(({ pin, seenX, y }) => ({ ref: chosen.ref, pin, x: seenX, y }));
  return stepTowards(from, direction, spots);
}
