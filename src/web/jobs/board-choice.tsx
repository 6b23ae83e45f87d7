import { type ReactNode, useMemo } from "react";
import type { BoardSummary } from "../../app/api/boards.js";
import { boardStore } from "../state/boards.js";
import { useStore } from "../state/store.js";
import { BoardThumbnail } from "./board-thumbnail.jsx";

/** Boards to choose from, each drawn in small. */
export function BoardChoice({
  boards,
  chosen,
  onChoose,
}: {
  readonly boards: readonly BoardSummary[];
  readonly chosen: string;
  readonly onChoose: (id: string) => void;
}): ReactNode {
  return (
    <div className="board-choice">
      {boards.map((board) => (
        <button
          key={board.id}
          type="button"
          className="board-tile"
          aria-pressed={chosen === board.id}
          onClick={() => onChoose(board.id)}
        >
          <Small id={board.id} />
          <span className="board-tile-words">
            <span className="board-tile-title">{board.title}</span>
            <span>{board.subtitle}</span>
            <span className="quiet">
              {board.chips} chips, {board.parts} parts, {board.nets} lines
            </span>
          </span>
        </button>
      ))}
    </div>
  );
}

function Small({ id }: { readonly id: string }): ReactNode {
  const { board } = useStore(useMemo(() => boardStore(id), [id]));
  return <BoardThumbnail map={board} />;
}
