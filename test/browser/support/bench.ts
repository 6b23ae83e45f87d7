import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { repositoryRoot } from "../../support/source-files.js";

const built = join(repositoryRoot, "dist/cli/main.js");

/** A bench served by the built program from a folder of its own; it can be stopped and started again on its port. */
export class ServedBench {
  readonly folder = mkdtempSync(join(tmpdir(), "boardwake-page-"));
  address = "";
  private port = 0;
  private process: ChildProcess | undefined;

  /** Starts serving; the first time on a free port. */
  async start(): Promise<void> {
    if (!existsSync(built)) throw new Error("the program is not built: run npm run build");
    const words = ["serve", "--no-open", "--port", String(this.port), "--data", this.folder];
    const child = spawn(process.execPath, [built, ...words], { stdio: ["ignore", "pipe", "inherit"] });
    this.process = child;
    this.port = await new Promise<number>((resolve, reject) => {
      let said = "";
      child.stdout.on("data", (bytes: Buffer) => {
        said += bytes.toString("utf8");
        const found = /http:\/\/localhost:(\d+)/.exec(said);
        if (found !== null) resolve(Number(found[1]));
      });
      child.on("exit", (code) => reject(new Error(`the program ended with code ${code} before it served`)));
    });
    this.address = `http://localhost:${this.port}`;
  }

  /** Stops serving, at once and without a word, as a power cut would. */
  async kill(): Promise<void> {
    const child = this.process;
    if (child === undefined || child.exitCode !== null) return;
    const ended = new Promise((resolve) => child.once("exit", resolve));
    child.kill("SIGKILL");
    await ended;
    this.process = undefined;
  }

  /** Stops serving and forgets the folder. */
  async close(): Promise<void> {
    await this.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
