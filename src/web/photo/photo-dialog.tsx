import { type ReactNode, useMemo, useState } from "react";
import type { Photo, PhotoMarks, PhotoSide } from "../../app/api/photos.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import type { BoardMap } from "../../core/draw/board-map.js";
import { suggestMarks } from "../../core/draw/photo/suggest-marks.js";
import { CloseUp } from "../job/close-up.jsx";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { announce, notify } from "../state/announcer.js";
import { Dialog } from "../ui/dialog.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { MarkField } from "./mark-field.jsx";
import { shrinkPhoto } from "./shrink-photo.js";
import { photoAddress, registrationOf } from "./use-photo.js";

const enoughMarks = 3;

/** Brings a picture of one side of the board and lays the map over it by two or three taps. */
export function PhotoDialog({
  job,
  map,
  side,
  photo,
  onChanged,
  onClose,
}: {
  readonly job: string;
  readonly map: BoardMap;
  readonly side: PhotoSide;
  readonly photo: Photo | null;
  readonly onChanged: () => void;
  readonly onClose: () => void;
}): ReactNode {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const bring = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return;
    setBusy(true);
    setProblem(null);
    try {
      const data = await shrinkPhoto(file).catch(() => {
        throw new Error(`'${file.name}' is no picture that this browser can show.`);
      });
      await api.putPhoto(job, side, data);
      onChanged();
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };
  return (
    <Dialog title={`Photo of the ${side} side`} onClose={onClose}>
      {problem !== null && <ProblemNote problem={problem} />}
      {busy && <Waiting what="The picture is being made ready" />}
      {photo !== null && (
        <Marking
          key={photo.at}
          job={job}
          map={map}
          photo={photo}
          onSaved={() => {
            onChanged();
            onClose();
          }}
        />
      )}
      <label className="field">
        <span>{photo === null ? "Take or choose a photo" : "Another photo instead"}</span>
        <input type="file" accept="image/*" onChange={(event) => void bring(event.target.files?.[0])} />
      </label>
      <p className="quiet">
        Straight from above, the whole board in the picture. Where and when it was taken is left out of what
        is kept, and it stays on this bench.
      </p>
    </Dialog>
  );
}

function Marking({
  job,
  map,
  photo,
  onSaved,
}: {
  readonly job: string;
  readonly map: BoardMap;
  readonly photo: Photo;
  readonly onSaved: () => void;
}): ReactNode {
  const suggested = useMemo(() => suggestMarks(map), [map]);
  const [marks, setMarks] = useState<PhotoMarks["marks"]>([]);
  const [skipped, setSkipped] = useState<readonly string[]>([]);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const done = new Set([...marks.map(({ pin }) => pin), ...skipped]);
  const next = suggested.find(({ ref, pin }) => !done.has(`${ref}.${pin}`));
  const part = map.parts.find(({ ref }) => ref === next?.ref);
  const found = registrationOf(map, { side: photo.side, marks });
  const fit = found === undefined ? "" : `, off by ${found.errorMillimetre.toFixed(1)} mm at the marks`;
  const place = (x: number, y: number): void => {
    if (next === undefined || marks.length >= 6) return;
    setMarks((now) => [...now, { pin: `${next.ref}.${next.pin}`, x, y }]);
    announce(`${next.ref} pin ${next.pin} marked.`);
  };
  const save = async (kept: PhotoMarks["marks"]): Promise<void> => {
    try {
      await api.markPhoto(job, photo.side, { marks: kept });
      notify({ text: "The map lies over the photo." });
      onSaved();
    } catch (cause) {
      setProblem(problemOf(cause));
    }
  };
  return (
    <div className="marking">
      {photo.marks.length >= 2 && marks.length === 0 && (
        <p className="quiet">It lies under the map already. Mark places anew if it does not fit.</p>
      )}
      <div className="marking-ask">
        {next !== undefined && part !== undefined && marks.length < enoughMarks ? (
          <>
            <p className="marking-words">
              {marks.length + 1} of {enoughMarks}: tap <span className="place">{next.ref}</span> pin{" "}
              {next.pin} on the photo
            </p>
            <CloseUp
              part={part}
              parts={map.parts}
              pin={next.pin}
              mirrored={photo.side === "solder"}
              named={false}
            />
          </>
        ) : (
          <p className="marking-words">
            {marks.length} places marked{fit}
          </p>
        )}
        <div className="board-files">
          {next !== undefined && marks.length < enoughMarks && (
            <button
              type="button"
              className="plain-button"
              onClick={() => setSkipped((now) => [...now, `${next.ref}.${next.pin}`])}
            >
              Another place
            </button>
          )}
          {marks.length > 0 && (
            <button
              type="button"
              className="plain-button"
              onClick={() => setMarks((now) => now.slice(0, -1))}
            >
              Take the last back
            </button>
          )}
          <button
            type="button"
            className="main-button"
            disabled={found === undefined}
            onClick={() => void save(marks)}
          >
            Lay the map over it
          </button>
        </div>
      </div>
      {problem !== null && <ProblemNote problem={problem} />}
      <MarkField
        address={photoAddress(job, photo)}
        widthPixel={photo.widthPixel}
        heightPixel={photo.heightPixel}
        marks={marks}
        onPlace={place}
      />
    </div>
  );
}
