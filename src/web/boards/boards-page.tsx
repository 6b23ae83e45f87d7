import { type ReactNode, useEffect } from "react";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { useLoaded } from "../net/load.js";
import { goTo } from "../state/navigation.js";
import { addressOf } from "../state/route.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { BringBoard } from "./bring-board.jsx";

/** Boards of this bench: those that came with the program and one's own, and the way to bring another. */
export function BoardsPage(): ReactNode {
  const { value: boards, problem, reload } = useLoaded("boards", api.boards);
  useEffect(
    () =>
      onStreamEvent((event) => {
        if (event.type === "boards" || event.type === "hello") reload();
      }),
    [reload],
  );
  return (
    <main className="page boards-page">
      <PageHead title="Boards" below="of this bench" />
      <section className="stage" aria-labelledby="boards-list">
        <h1 id="boards-list">Boards of this bench</h1>
        {problem !== null && <ProblemNote problem={problem} onRetry={reload} />}
        {boards === null && problem === null && <Waiting what="The boards are being read" />}
        <ul className="board-list">
          {(boards ?? []).map((board) => (
            <li key={board.id}>
              <a className="board-line" href={addressOf({ page: "board", board: board.id })}>
                <span className="board-tile-title">{board.title}</span>
                <span className="quiet">
                  {board.own
                    ? `your own, ${board.versions === 1 ? "one version" : `${board.versions} versions`}`
                    : "came with the program"}{" "}
                  · {board.chips} chips, {board.parts} parts, {board.nets} lines
                </span>
              </a>
            </li>
          ))}
        </ul>
        <p>
          <a className="plain-button" href={addressOf({ page: "types" })}>
            Part types
          </a>
        </p>
      </section>
      <section className="stage" aria-labelledby="boards-bring">
        <h2 id="boards-bring">Bring a board</h2>
        <BringBoard onKept={(board) => goTo({ page: "board", board })} />
      </section>
    </main>
  );
}
