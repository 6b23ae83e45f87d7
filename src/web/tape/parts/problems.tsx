import type { ReactNode } from "react";
import { type Problem, renderProblem } from "../../../core/base/problem.js";
import { ProblemNote } from "../../ui/problem-note.jsx";

/** What went wrong with a recording or a piece of work; errors first. */
export function Problems({ problems }: { readonly problems: readonly Problem[] }): ReactNode {
  const sorted = [...problems].sort(
    (a, b) => Number(a.severity === "warning") - Number(b.severity === "warning"),
  );
  return sorted.slice(0, 5).map((problem) => {
    const { hint, ...rest } = problem;
    const note = { code: problem.code, message: renderProblem(rest) };
    return (
      <ProblemNote
        key={`${problem.code} ${note.message}`}
        problem={hint === undefined ? note : { ...note, hint }}
      />
    );
  });
}
