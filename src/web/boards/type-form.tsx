import { type ReactNode, useState } from "react";
import type { ErrorBody } from "../../app/api/shapes.js";
import { failureFamilies, type PartType, technologies } from "../../core/board/part-type.js";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { notify } from "../state/announcer.js";
import { Dialog } from "../ui/dialog.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { readTyped, type TypedType, typedOf } from "./type-text.js";

/** A part type as a form: what it is, its pins and supply, and what it does. */
export function TypeForm({
  start,
  onClose,
  onSaved,
}: {
  readonly start: PartType | undefined;
  readonly onClose: () => void;
  readonly onSaved: () => void;
}): ReactNode {
  const [typed, setTyped] = useState<TypedType>(() => typedOf(start));
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const set = (field: keyof TypedType, value: string): void =>
    setTyped((now) => ({ ...now, [field]: value }));
  const line = (label: string, field: "type" | "title" | "package"): ReactNode => (
    <label className="field">
      <span>{label}</span>
      <input
        type="text"
        maxLength={200}
        value={typed[field]}
        onChange={(event) => set(field, event.target.value)}
      />
    </label>
  );
  const choice = (label: string, field: "technology" | "family", among: readonly string[]): ReactNode => (
    <label className="field">
      <span>{label}</span>
      <select value={typed[field]} onChange={(event) => set(field, event.target.value)}>
        {among.map((name) => (
          <option key={name}>{name}</option>
        ))}
      </select>
    </label>
  );
  const lines = (label: string, field: "pins" | "rails" | "behaviour", rows: number): ReactNode => (
    <label className="field">
      <span>{label}</span>
      <textarea
        rows={rows}
        maxLength={100_000}
        spellCheck={false}
        className="place"
        value={typed[field]}
        onChange={(event) => set(field, event.target.value)}
      />
    </label>
  );
  const save = async (): Promise<void> => {
    const read = readTyped(typed, start);
    if (!("type" in read)) {
      setProblem({ code: "field-invalid", where: read.where, message: read.message });
      return;
    }
    try {
      await api.setType(read.type);
      notify({ text: `${read.type.type} is kept.` });
      onSaved();
    } catch (cause) {
      setProblem(problemOf(cause));
    }
  };
  return (
    <Dialog title={start === undefined ? "Add a part type" : `Correct ${start.type}`} onClose={onClose}>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void save();
        }}
      >
        {line("Number or name", "type")}
        {line("What it is, in a few words", "title")}
        {line("Package", "package")}
        {choice("How it is built", "technology", technologies)}
        {choice("Fails like", "family", failureFamilies)}
        {lines("Pins: number, name, kind, a line each", "pins", 8)}
        {lines("Supply: pin, nominal, least and most volts", "rails", 2)}
        {lines("Behaviour as JSON; empty: outputs are right only if all inputs are", "behaviour", 5)}
        {problem !== null && <ProblemNote problem={problem} />}
        <div className="dialog-foot">
          <button type="submit" className="main-button">
            Keep this type
          </button>
        </div>
      </form>
    </Dialog>
  );
}
