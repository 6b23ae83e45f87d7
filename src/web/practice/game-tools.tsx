import { type ReactNode, useState } from "react";
import type { PracticeStep, PracticeView } from "../../app/api/practice.js";
import { Icon } from "../ui/icon.jsx";
import { useKeys } from "../ui/use-keys.js";

/** What can be asked of the simulated machine beside its pins. */
export function GameTools({
  game,
  busy,
  onPlay,
  onHint,
  onGiveUp,
}: {
  readonly game: PracticeView;
  readonly busy: boolean;
  readonly onPlay: (step: PracticeStep) => void;
  readonly onHint: () => void;
  readonly onGiveUp: () => void;
}): ReactNode {
  const [text, setText] = useState("");
  useKeys({ "/": () => document.querySelector<HTMLElement>(".game-line input")?.focus() });
  return (
    <div className="game-tools">
      <fieldset className="looks">
        <legend>Look at the machine</legend>
        <div className="tiles">
          {game.observables.map(({ id, title }) => (
            <button
              key={id}
              type="button"
              className="tile"
              disabled={busy}
              onClick={() => onPlay({ at: id })}
            >
              {title}
            </button>
          ))}
        </div>
      </fieldset>
      <form
        className="game-line"
        onSubmit={(event) => {
          event.preventDefault();
          if (text.trim() === "") return;
          onPlay({ text: text.trim() });
          setText("");
        }}
      >
        <label className="entry-label" htmlFor="game-line">
          Read or do{" "}
          <span className="key" aria-hidden="true">
            /
          </span>
        </label>
        <input
          id="game-line"
          className="entry-field"
          type="text"
          autoComplete="off"
          autoCapitalize="off"
          spellCheck={false}
          maxLength={1000}
          value={text}
          placeholder="U12.6  ·  +5V  ·  replace U12"
          onChange={(event) => setText(event.target.value)}
        />
        <button type="submit" className="entry-send" disabled={busy} aria-label="Do it">
          <Icon name="send" />
        </button>
      </form>
      <div className="step-extras">
        <button type="button" className="plain-button" disabled={busy} onClick={onHint}>
          What would the program do?
        </button>
        <button type="button" className="plain-button" disabled={busy} onClick={onGiveUp}>
          Give up
        </button>
      </div>
    </div>
  );
}
