import { type ReactNode, useState } from "react";
import type { ErrorBody } from "../../app/api/shapes.js";
import { api } from "../net/api.js";
import { connect } from "../net/live.js";
import { problemOf } from "../net/load.js";
import { ProblemNote } from "../ui/problem-note.jsx";

/** What a device sees that has not joined the bench yet. */
export function PairingPage({ onPaired }: { readonly onPaired: () => void }): ReactNode {
  const [code, setCode] = useState("");
  const [label, setLabel] = useState("");
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const pair = async (): Promise<void> => {
    if (code.trim() === "") {
      setProblem({
        code: "code-missing",
        where: "Code",
        message: "There is no code.",
        hint: "It stands on the terminal.",
      });
      return;
    }
    try {
      await api.pair(code.trim(), label.trim() === "" ? "another device" : label.trim());
      connect();
      onPaired();
    } catch (cause) {
      setProblem(problemOf(cause));
    }
  };
  return (
    <main className="page pairing-page">
      <h1>Join the bench</h1>
      <p>The code stands on the terminal where the program was started, and on its settings page.</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void pair();
        }}
      >
        <label className="field">
          <span>Code</span>
          <input
            className="pairing-field"
            type="text"
            autoComplete="one-time-code"
            autoCapitalize="characters"
            spellCheck={false}
            maxLength={40}
            value={code}
            onChange={(event) => setCode(event.target.value)}
          />
        </label>
        <label className="field">
          <span>What this device is called</span>
          <input
            type="text"
            maxLength={80}
            placeholder="bench tablet"
            value={label}
            onChange={(event) => setLabel(event.target.value)}
          />
        </label>
        {problem !== null && <ProblemNote problem={problem} />}
        <button type="submit" className="main-button">
          Join
        </button>
      </form>
    </main>
  );
}
