import { type ReactNode, useEffect, useId, useRef } from "react";
import { Icon } from "./icon.jsx";

/** A dialog of the browser's own kind, open as long as it is there; Escape and the cross call `onClose`. */
export function Dialog({
  title,
  onClose,
  children,
}: {
  readonly title: string;
  readonly onClose: () => void;
  readonly children: ReactNode;
}): ReactNode {
  const element = useRef<HTMLDialogElement | null>(null);
  const titleId = useId();
  useEffect(() => {
    const dialog = element.current;
    dialog?.showModal();
    return () => dialog?.close();
  }, []);
  return (
    <dialog ref={element} className="dialog" aria-labelledby={titleId} onCancel={onClose}>
      <header className="dialog-head">
        <h2 id={titleId}>{title}</h2>
        <button type="button" className="tool" onClick={onClose} aria-label="Close">
          <Icon name="cross" />
        </button>
      </header>
      {children}
    </dialog>
  );
}
