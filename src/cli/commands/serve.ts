import type { Command } from "commander";
import { BoardwakeError } from "../../core/base/errors.js";
import type { ServedPage } from "../bench-door.js";
import { type CliContext, examples, exitCodes, printLines } from "../context.js";
import { wrap } from "../text.js";

interface ServeOptions {
  readonly port: string;
  readonly share?: true;
  readonly data?: string;
  readonly open?: boolean;
}

/** Port of the page unless another one is named. */
export const usualPort = 4780;

/** Adds `boardwake serve`. */
export function addServeCommand(program: Command, context: CliContext, end: (code: number) => void): void {
  program
    .command("serve")
    .summary("the bench page in the browser")
    .description(
      "Serves the bench page to the browser of this machine, and with --share to other devices on the local network that are paired by a code. Jobs are kept in a database; what the page has confirmed is on the disk.",
    )
    .option("--port <number>", "port to listen on; 0 takes any that is free", String(usualPort))
    .option("--share", "let other devices on the local network join, by a code shown here")
    .option("--data <folder>", "folder of the job database")
    .option("--open", "open the page in the browser at once")
    .option("--no-open", "do not offer to open it")
    .addHelpText(
      "after",
      examples(
        "boardwake serve",
        "boardwake serve --share --no-open",
        "boardwake serve --port 8080 --data bench",
      ),
    )
    .action(async (options: ServeOptions) => end(await serve(context, options)));
}

async function serve(context: CliContext, options: ServeOptions): Promise<number> {
  const { io, bench } = context;
  const port = portNamed(options.port);
  const page = await bench.serve({
    port,
    isShared: options.share === true,
    folder: options.data,
    version: context.version,
    onNewCode: (code, label) => {
      if (label !== undefined) printLines(io, [`Paired: ${label}.`]);
      printLines(io, [`Code for the next device: ${code}`]);
    },
  });
  printLines(io, servedLines(page));
  const stopped = bench.untilStopped();
  if (options.open === true) bench.showAddress(page.address);
  else if (options.open === undefined && io.isInteractive) offerToOpen(context, page);
  await stopped;
  io.err("Stopping …\n");
  await page.close();
  return exitCodes.done;
}

function servedLines(page: ServedPage): string[] {
  const code = page.code();
  return [
    `The bench page is at ${page.address}`,
    ...wrap(`Jobs are kept in ${page.database}`),
    ...(code === undefined
      ? []
      : [
          ...page.addresses.map((address) => `For other devices:  ${address}`),
          `Code for the next device: ${code}`,
        ]),
    "Ctrl-C stops it.",
  ];
}

/** Waits beside the server: whoever presses Enter sees the page, and whoever does not is not kept. */
function offerToOpen({ io, bench }: CliContext, page: ServedPage): void {
  io.readLine("Press Enter to open it in the browser.").then(
    (line) => {
      if (line === undefined || bench.showAddress(page.address)) return;
      io.err(`No way is known here to open a browser; go to ${page.address}\n`);
    },
    () => {},
  );
}

function portNamed(text: string): number {
  const port = Number(text);
  if (/^\d+$/.test(text) && port <= 65_535) return port;
  throw new BoardwakeError("usage", {
    reason: `The port must be a whole number from 0 to 65535, not '${text}'.`,
  });
}
