import { type ReactNode, useMemo, useState } from "react";
import { z } from "zod";
import type { NewJob } from "../../app/api/jobs.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { SymptomChoice } from "../job/symptom-choice.jsx";
import { api } from "../net/api.js";
import { newClientId } from "../net/client-id.js";
import { problemOf, useLoaded } from "../net/load.js";
import { boardStore } from "../state/boards.js";
import { createKeepsake } from "../state/keepsakes.js";
import { goTo } from "../state/navigation.js";
import { addressOf } from "../state/route.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { capital } from "../ui/words.js";
import { BoardChoice } from "./board-choice.jsx";
import { type Happening, HistoryChoice, historyEntries } from "./history-choice.jsx";

type Instrument = NewJob["instruments"][number];

/** The instruments owned, remembered from job to job. */
const ownInstruments = createKeepsake<readonly string[]>("instruments", z.array(z.string()), [
  "multimeter",
  "logic-probe",
]);

/** Opens a job: which board, what it does, what is at hand, what happened to it. */
export function NewJobPage(): ReactNode {
  const { value: boards, problem: listProblem, reload } = useLoaded("boards", api.boards);
  const [boardId, setBoardId] = useState("");
  const { board } = useStore(useMemo(() => boardStore(boardId), [boardId]));
  const [symptoms, setSymptoms] = useState<ReadonlyMap<string, string>>(new Map());
  const [happenings, setHappenings] = useState<readonly Happening[]>([]);
  const [note, setNote] = useState("");
  const [title, setTitle] = useState("");
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [busy, setBusy] = useState(false);
  const owned = useStore(ownInstruments);
  const [id] = useState(newClientId);
  const suggested = board === null ? "" : `${board.title}, ${firstWords(board.symptoms, symptoms)}`;

  const chooseBoard = (next: string): void => {
    setBoardId(next);
    setSymptoms(new Map());
    setHappenings([]);
  };

  const open = async (): Promise<void> => {
    if (board === null) {
      setProblem({
        code: "board-missing",
        where: "Board",
        message: "No board is chosen.",
        hint: "Choose one at the top of the page.",
      });
      return;
    }
    const known = board.instruments.map((one) => one.id);
    const entries: NonNullable<NewJob["entries"]> = [
      ...historyEntries(happenings),
      ...[...symptoms.values()].map((what) => ({ kind: "symptom" as const, what })),
      ...(note.trim() === "" ? [] : [{ kind: "note" as const, text: note.trim() }]),
    ].map((entry) => ({ id: newClientId(), entry }));
    setBusy(true);
    try {
      const made = await api.openJob({
        id,
        board: board.id,
        title: title.trim() === "" ? suggested : title.trim(),
        instruments: known.filter((one): one is Instrument => owned.includes(one)),
        entries,
      });
      goTo({ page: "job", job: made.job.id });
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };

  return (
    <main className="page new-job">
      <PageHead title="New job" />
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void open();
        }}
      >
        <section className="stage" aria-labelledby="stage-board">
          <h1 id="stage-board">What is on the bench?</h1>
          {listProblem !== null && <ProblemNote problem={listProblem} onRetry={reload} />}
          {boards === null ? (
            <Waiting what="The boards are being read" />
          ) : (
            <BoardChoice boards={boards} chosen={boardId} onChoose={chooseBoard} />
          )}
          <p>
            <a className="plain-button" href={addressOf({ page: "boards" })}>
              Another board: bring a file of it
            </a>
          </p>
        </section>
        {board !== null && (
          <>
            <section className="stage" aria-labelledby="stage-symptoms">
              <h2 id="stage-symptoms">What does it do?</h2>
              <p className="quiet">
                Choose what you have seen and heard yourself. What you have not tried, leave alone: nothing
                said counts as unknown, not as well.
              </p>
              <SymptomChoice symptoms={board.symptoms} chosen={symptoms} onChange={setSymptoms} />
            </section>
            <section className="stage" aria-labelledby="stage-instruments">
              <h2 id="stage-instruments">What have you got?</h2>
              <div className="tiles">
                {board.instruments
                  .filter((one) => !one.free)
                  .map((one) => (
                    <button
                      key={one.id}
                      type="button"
                      className="tile"
                      aria-pressed={owned.includes(one.id)}
                      onClick={() =>
                        ownInstruments.update((now) =>
                          now.includes(one.id) ? now.filter((name) => name !== one.id) : [...now, one.id],
                        )
                      }
                    >
                      {capital(one.name)}
                    </button>
                  ))}
              </div>
            </section>
            <section className="stage" aria-labelledby="stage-history">
              <h2 id="stage-history">What happened to it?</h2>
              <p className="quiet">
                What was touched last is the first thing to doubt: a repair, an upgrade, a lead, a fall.
              </p>
              <HistoryChoice events={board.events} happenings={happenings} onChange={setHappenings} />
              <label className="field">
                <span>Anything else worth keeping</span>
                <textarea
                  rows={2}
                  maxLength={10000}
                  value={note}
                  onChange={(event) => setNote(event.target.value)}
                  placeholder="Stood in a loft for twenty years."
                />
              </label>
            </section>
            <section className="stage" aria-labelledby="stage-name">
              <h2 id="stage-name">What shall it be called?</h2>
              <label className="field">
                <span className="only-heard">Name of the job</span>
                <input
                  type="text"
                  maxLength={200}
                  value={title}
                  placeholder={suggested}
                  onChange={(event) => setTitle(event.target.value)}
                />
              </label>
            </section>
          </>
        )}
        {problem !== null && <ProblemNote problem={problem} />}
        <div className="new-job-foot">
          <p className="quiet">
            {board === null
              ? "Choose a board to begin."
              : `${board.title}: ${countText(symptoms.size, "symptom")}, ${countText(happenings.length, "happening")}`}
          </p>
          <button type="submit" className="main-button" disabled={busy}>
            Begin
          </button>
        </div>
      </form>
    </main>
  );
}

function countText(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? "" : "s"}`;
}

function firstWords(
  symptoms: readonly { id: string; groupTitle: string }[],
  chosen: ReadonlyMap<string, string>,
): string {
  const [first] = chosen.values();
  const group = symptoms.find(({ id }) => id === first)?.groupTitle;
  return group === undefined ? "to be looked at" : `trouble with ${group.toLowerCase()}`;
}
