import type { ReactNode } from "react";
import type { ErrorBody } from "../../app/api/shapes.js";
import { Icon } from "./icon.jsx";

/** What went wrong: the field, the reason, the remedy. */
export function ProblemNote({
  problem,
  onRetry,
}: {
  readonly problem: ErrorBody["error"];
  readonly onRetry?: () => void;
}): ReactNode {
  return (
    <div className="problem" role="alert">
      <Icon name="warning" />
      <div>
        <p>
          {problem.where !== undefined && <strong>{problem.where}: </strong>}
          {problem.message}
        </p>
        {problem.hint !== undefined && <p className="quiet">{problem.hint}</p>}
        {problem.suggestions !== undefined && problem.suggestions.length > 0 && (
          <p className="quiet">Did you mean {problem.suggestions.slice(0, 3).join(", ")}?</p>
        )}
        {onRetry !== undefined && (
          <button type="button" className="plain-button" onClick={onRetry}>
            Try again
          </button>
        )}
      </div>
    </div>
  );
}
