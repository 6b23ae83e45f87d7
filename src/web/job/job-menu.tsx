import type { ReactNode } from "react";
import { exportAddress } from "../net/request.js";
import { addressOf } from "../state/route.js";
import { Icon } from "../ui/icon.jsx";

/** What can be done with the job as a whole. */
export function JobMenu({
  job,
  closed,
  canUndo,
  onUndo,
  onSymptoms,
  onClose,
  onReopen,
}: {
  readonly job: string;
  readonly closed: boolean;
  readonly canUndo: boolean;
  readonly onUndo: () => void;
  readonly onSymptoms: () => void;
  readonly onClose: () => void;
  readonly onReopen: () => void;
}): ReactNode {
  return (
    <div className="job-menu">
      {!closed && (
        <button type="button" className="plain-button" onClick={onUndo} disabled={!canUndo}>
          <Icon name="undo" /> Undo <kbd>u</kbd>
        </button>
      )}
      <details className="menu">
        <summary className="plain-button">More</summary>
        <div className="menu-list">
          {closed ? (
            <button type="button" onClick={onReopen}>
              Open it again
            </button>
          ) : (
            <>
              <button type="button" onClick={onSymptoms}>
                Say what it does now
              </button>
              <button type="button" onClick={onClose}>
                Close the job
              </button>
            </>
          )}
          <a href={addressOf({ page: "memory", job })}>Memory: failing addresses, stripes</a>
          <a href={exportAddress(job)} download={`${job}.json`}>
            Download the log
          </a>
        </div>
      </details>
    </div>
  );
}
