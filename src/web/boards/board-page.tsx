import { type ReactNode, useEffect, useMemo, useState } from "react";
import type { ErrorBody } from "../../app/api/shapes.js";
import { BoardMapView } from "../map/board-map-view.jsx";
import type { Spot } from "../map/scene.js";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { problemOf, useLoaded } from "../net/load.js";
import { apiAddress } from "../net/request.js";
import { notify } from "../state/announcer.js";
import { boardStore } from "../state/boards.js";
import { goTo } from "../state/navigation.js";
import { useStore } from "../state/store.js";
import { Dialog } from "../ui/dialog.jsx";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { momentText } from "../ui/words.js";
import { BringBoard } from "./bring-board.jsx";
import { ProgramPart } from "./program-part.jsx";
import { ReportView } from "./report-view.jsx";
import { VersionDiff } from "./version-diff.jsx";

const none: ReadonlyMap<string, number> = new Map();
const noProbes: readonly Spot[] = [];

/** A board by itself: its map, and of one's own its versions, what was recognised, files to give away. */
export function BoardPage({ id }: { readonly id: string }): ReactNode {
  const { board, problem } = useStore(useMemo(() => boardStore(id), [id]));
  return (
    <main className="page board-page">
      <PageHead title={board?.title ?? id} below={board?.subtitle ?? ""} back={{ page: "boards" }} />
      {problem !== null && <ProblemNote problem={problem} />}
      {board === null && problem === null && <Waiting what="The board is being read" />}
      {board !== null && (
        <>
          <h1 className="only-heard">{board.title}</h1>
          <BoardMapView map={board} suspicion={none} probes={noProbes} actions={() => null} />
          <section className="stage" aria-labelledby="board-files">
            <h2 id="board-files">Files</h2>
            <p className="board-files">
              <a className="plain-button" href={apiAddress(`/boards/${id}/file`)} download={`${id}.json`}>
                Download the board file
              </a>
              {board.own && (
                <a
                  className="plain-button"
                  href={apiAddress(`/boards/${id}/types`)}
                  download={`${id}.types.json`}
                >
                  Download its own part types
                </a>
              )}
            </p>
          </section>
          {board.own && (
            <section className="stage" aria-labelledby="board-program">
              <h2 id="board-program">Programmed chips</h2>
              <p className="quiet">
                A PAL or GAL does what its fuses say. Read it out with a programmer where it lets you, or
                write its equations; it is then reasoned with like any other logic, as a new version of the
                board.
              </p>
              <ProgramPart
                board={id}
                parts={board.parts
                  .filter(({ shape }) => shape === "chip" || shape === "box")
                  .map(({ ref }) => ref)}
              />
            </section>
          )}
          {board.own && <Versions id={id} />}
        </>
      )}
    </main>
  );
}

function Versions({ id }: { readonly id: string }): ReactNode {
  const { value: versions, problem, reload } = useLoaded(`versions ${id}`, () => api.boardVersions(id));
  const [removing, setRemoving] = useState(false);
  const [refused, setRefused] = useState<ErrorBody["error"] | null>(null);
  useEffect(
    () =>
      onStreamEvent((event) => {
        if (event.type === "boards") reload();
      }),
    [reload],
  );
  const newest = versions?.at(-1);
  const remove = async (): Promise<void> => {
    setRemoving(false);
    try {
      await api.removeBoard(id);
      notify({ text: "The board is gone." });
      goTo({ page: "boards" });
    } catch (cause) {
      setRefused(problemOf(cause));
    }
  };
  return (
    <>
      {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
      {newest !== undefined && (
        <section className="stage" aria-labelledby="board-report">
          <h2 id="board-report">What was recognised</h2>
          <p className="quiet">
            Version {newest.number}, {momentText(newest.at, new Date())}
            {newest.note === "" ? "" : `: ${newest.note}`}
          </p>
          <ReportView report={newest.report} />
          {newest.report.unknown.length > 0 && (
            <p>
              Not recognised:{" "}
              {newest.report.unknown
                .slice(0, 20)
                .map(({ ref }) => ref)
                .join(", ")}
            </p>
          )}
        </section>
      )}
      {versions !== null && versions.length > 1 && (
        <section className="stage" aria-labelledby="board-diff">
          <h2 id="board-diff">What changed</h2>
          <VersionDiff key={versions.length} board={id} versions={versions} />
        </section>
      )}
      <section className="stage" aria-labelledby="board-new">
        <h2 id="board-new">Bring a new version</h2>
        <p className="quiet">Open jobs stay on the version they were opened on until you move them.</p>
        <BringBoard key={versions?.length ?? 0} as={id} onKept={reload} />
      </section>
      <section className="stage" aria-labelledby="board-remove">
        <h2 id="board-remove">Take it away</h2>
        {refused !== null && <ProblemNote problem={refused} />}
        <button type="button" className="plain-button" onClick={() => setRemoving(true)}>
          Take the board away with all its versions
        </button>
      </section>
      {removing && (
        <Dialog title="Take the board away?" onClose={() => setRemoving(false)}>
          <p>All its versions go, for good. Download the board file first if you may want it again.</p>
          <div className="dialog-foot">
            <button type="button" className="plain-button" onClick={() => setRemoving(false)}>
              Keep it
            </button>
            <button type="button" className="main-button" onClick={() => void remove()}>
              Take it away
            </button>
          </div>
        </Dialog>
      )}
    </>
  );
}
