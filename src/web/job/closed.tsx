import type { ReactNode } from "react";
import type { JobDetail } from "../../app/api/jobs.js";
import { Icon } from "../ui/icon.jsx";

/** The verdict of a closed job, where the next step would stand. */
export function Closed({ job }: { readonly job: JobDetail["job"] }): ReactNode {
  const { verdict } = job;
  return (
    <section className="step step-done" aria-labelledby="step-title">
      <div className="step-slab">
        <div className="step-words">
          <p className="step-kicker">
            <Icon name="check" /> Closed
          </p>
          <h1 id="step-title" className="step-title">
            {verdict?.part === undefined ? "No part was found" : `It was ${verdict.part}`}
          </h1>
          {verdict !== null && <p className="step-why">{verdict.words}</p>}
        </div>
      </div>
    </section>
  );
}
