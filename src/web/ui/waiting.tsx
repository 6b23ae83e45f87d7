import type { ReactNode } from "react";

/** Stands where something is being fetched. */
export function Waiting({ what }: { readonly what: string }): ReactNode {
  return (
    <p className="waiting" role="status">
      <span className="waiting-mark" aria-hidden="true" />
      {what}
    </p>
  );
}
