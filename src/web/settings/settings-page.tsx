import { type ReactNode, useEffect } from "react";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { useLoaded } from "../net/load.js";
import { notify } from "../state/announcer.js";
import { singleKeys, themeChoice } from "../state/keepsakes.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { momentText } from "../ui/words.js";

const keys: readonly (readonly [string, string])[] = [
  ["1 … 9", "answer the next step"],
  ["x", "say that the next step cannot be done"],
  ["/", "type any reading or repair"],
  ["u", "undo: strike out the latest entry"],
  ["m", "go to the map; then arrow keys, Enter, Escape, + − 0 p"],
  ["s", "go to the suspects"],
  ["l", "go to the log"],
];
const themes = [
  ["device", "As the device"],
  ["light", "Light"],
  ["dark", "Dark"],
] as const;

/** Keys, light and dark, devices that share the bench. */
export function SettingsPage(): ReactNode {
  const withKeys = useStore(singleKeys);
  const theme = useStore(themeChoice);
  const status = useLoaded("status", api.status);
  return (
    <main className="page settings">
      <PageHead title="Keys, devices, settings" />
      <section aria-labelledby="keys-title">
        <h1 id="keys-title">Keys</h1>
        <label className="switch">
          <input
            type="checkbox"
            checked={withKeys}
            onChange={(event) => singleKeys.set(event.target.checked)}
          />
          <span>Single keys act at once</span>
        </label>
        <dl className="keys" data-off={!withKeys}>
          {keys.map(([key, what]) => (
            <div key={key}>
              <dt>
                <kbd>{key}</kbd>
              </dt>
              <dd>{what}</dd>
            </div>
          ))}
        </dl>
      </section>
      <section aria-labelledby="theme-title">
        <h2 id="theme-title">Light or dark</h2>
        <div className="tiles">
          {themes.map(([id, name]) => (
            <button
              key={id}
              type="button"
              className="tile"
              aria-pressed={theme === id}
              onClick={() => themeChoice.set(id)}
            >
              {name}
            </button>
          ))}
        </div>
      </section>
      <section aria-labelledby="devices-title">
        <h2 id="devices-title">Devices</h2>
        {status.problem !== null && <ProblemNote problem={status.problem} onRetry={status.reload} />}
        {status.value?.sharing === false && (
          <p>
            Only this machine can use the bench. To let a tablet in on your own network, start the program
            with <code>boardwake serve --share</code>.
          </p>
        )}
        {status.value?.sharing === true && <Devices />}
        {status.value?.pairing != null && (
          <div className="pairing">
            <p>
              Open{" "}
              {status.value.pairing.addresses.map((address) => (
                <code key={address}>{address} </code>
              ))}{" "}
              on the other device and give this code:
            </p>
            <p className="pairing-code">{status.value.pairing.code}</p>
          </div>
        )}
        {status.value !== null && <p className="quiet">boardwake {status.value.version}</p>}
      </section>
    </main>
  );
}

function Devices(): ReactNode {
  const { value, problem, reload } = useLoaded("devices", api.devices);
  useEffect(
    () =>
      onStreamEvent((event) => {
        if (event.type === "devices") reload();
      }),
    [reload],
  );
  if (problem !== null) return <ProblemNote problem={problem} onRetry={reload} />;
  if (value === null || value.length === 0) return <p className="quiet">No other device has joined.</p>;
  return (
    <ul className="devices">
      {value.map((device) => (
        <li key={device.id}>
          <span>
            {device.label}
            {device.current && " (this one)"}
            <span className="quiet"> last seen {momentText(device.seenAt, new Date())}</span>
          </span>
          <button
            type="button"
            className="plain-button"
            onClick={() =>
              void api.dropDevice(device.id).then(
                () => {
                  notify({ text: `${device.label} is out.` });
                  reload();
                },
                () => reload(),
              )
            }
          >
            Send away
          </button>
        </li>
      ))}
    </ul>
  );
}
