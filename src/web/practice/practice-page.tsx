import { type ReactNode, useState } from "react";
import type { ErrorBody } from "../../app/api/shapes.js";
import { BoardChoice } from "../jobs/board-choice.jsx";
import { api } from "../net/api.js";
import { problemOf, useLoaded } from "../net/load.js";
import { goTo } from "../state/navigation.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";

/** Begins a game: on which board, and with which number, so that two people can play the same. */
export function PracticePage(): ReactNode {
  const { value: boards, problem: listProblem, reload } = useLoaded("boards", api.boards);
  const [board, setBoard] = useState("");
  const [seed, setSeed] = useState("");
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [busy, setBusy] = useState(false);

  const begin = async (): Promise<void> => {
    if (board === "") {
      setProblem({
        code: "board-missing",
        where: "Board",
        message: "No board is chosen.",
        hint: "Choose one above.",
      });
      return;
    }
    if (seed !== "" && !/^\d{1,9}$/.test(seed)) {
      setProblem({
        code: "seed-number",
        where: "Number",
        message: `'${seed}' is not a number from 0 to 999999999.`,
        hint: "Leave it empty for a surprise.",
      });
      return;
    }
    setBusy(true);
    try {
      const game = await api.hideFault(board, seed === "" ? undefined : Number(seed));
      goTo({ page: "game", game: game.id });
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };

  return (
    <main className="page practice-page">
      <PageHead title="Practice" below="a machine that cannot be hurt" />
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void begin();
        }}
      >
        <section className="stage" aria-labelledby="practice-board">
          <h1 id="practice-board">A fault is hidden. Find it.</h1>
          <p>
            Read pins by touching them on the map, look at what the machine does, replace what you think is
            bad. Every step costs minutes as it would at the bench. Afterwards you see your way beside the one
            the program would have gone.
          </p>
          {listProblem !== null && <ProblemNote problem={listProblem} onRetry={reload} />}
          {boards === null ? (
            <Waiting what="The boards are being read" />
          ) : (
            <BoardChoice boards={boards} chosen={board} onChoose={setBoard} />
          )}
        </section>
        <label className="field field-short">
          <span>Number of the fault, to play the same one as somebody else</span>
          <input
            type="text"
            inputMode="numeric"
            value={seed}
            placeholder="any"
            onChange={(event) => setSeed(event.target.value.trim())}
          />
        </label>
        {problem !== null && <ProblemNote problem={problem} />}
        <div className="new-job-foot">
          <p className="quiet">Nothing here touches your jobs.</p>
          <button type="submit" className="main-button" disabled={busy}>
            Hide a fault
          </button>
        </div>
      </form>
    </main>
  );
}
