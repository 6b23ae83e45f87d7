import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";
import { createRequire } from "node:module";
import { delimiter, join } from "node:path";
import { pathToFileURL } from "node:url";
import { z } from "zod";
import { repositoryRoot } from "./generated-files.js";

/** A Chromium that tests and pictures can be made with. */
export interface Browser {
  readonly executablePath: string;
  /** Arguments this build needs. */
  readonly args: readonly string[];
}

const names = ["chromium", "chromium-browser", "google-chrome-stable", "google-chrome"];

/** The npm package that brings a Chromium of its own, for machines where nothing can be installed. */
export const bundledBrowser = { name: "@sparticuz/chromium", version: "147.0.0" } as const;

const bundleFolder = join(repositoryRoot, "node_modules/.cache/boardwake-browser");
/** The Chromium of `BOARDWAKE_CHROMIUM`, of the search path, or of the npm package; undefined if there is none. */
export async function findBrowser(): Promise<Browser | undefined> {
  const { BOARDWAKE_CHROMIUM: named, PATH: searchPath = "" } = process.env;
  if (named !== undefined && named !== "") {
    if (!existsSync(named)) throw new Error(`BOARDWAKE_CHROMIUM names ${named}, which does not exist`);
    return { executablePath: named, args: [] };
  }
  for (const folder of searchPath.split(delimiter)) {
    const found = names.map((name) => join(folder, name)).find((path) => existsSync(path));
    if (found !== undefined) return { executablePath: found, args: [] };
  }
  return unpackBundle();
}

/** Gets a Chromium: from Debian where this may be done, else from npm. Throws if neither works. */
export async function getBrowser(): Promise<Browser> {
  const found = await findBrowser();
  if (found !== undefined) return found;
  if (process.getuid?.() === 0 && installFromDebian()) {
    const installed = await findBrowser();
    if (installed !== undefined) return installed;
  }
  const { name, version } = bundledBrowser;
  console.log(`installing ${name} ${version} from npm`);
  execFileSync("npm", ["install", "--no-save", "--prefix", bundleFolder, `${name}@${version}`], {
    stdio: "inherit",
  });
  const unpacked = await unpackBundle();
  if (unpacked === undefined) throw new Error(`${name} was installed and cannot be found`);
  return unpacked;
}

function installFromDebian(): boolean {
  console.log("installing chromium from Debian");
  const environment = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
  try {
    execFileSync("apt-get", ["update"], { stdio: "ignore", env: environment });
    execFileSync("apt-get", ["install", "--yes", "--no-install-recommends", "chromium"], {
      stdio: "ignore",
      env: environment,
    });
    return true;
  } catch {
    console.log("that did not work");
    return false;
  }
}

async function unpackBundle(): Promise<Browser | undefined> {
  const manifest = join(bundleFolder, "package.json");
  if (!existsSync(join(bundleFolder, "node_modules", bundledBrowser.name))) return undefined;
  const path = createRequire(pathToFileURL(manifest)).resolve(bundledBrowser.name);
  const module: unknown = await import(pathToFileURL(path).href);
  // The package exports a class whose static members say what is wanted.
  const bundle: unknown = Reflect.get(Object(module), "default");
  const locate: unknown = Reflect.get(Object(bundle), "executablePath");
  if (typeof locate !== "function")
    throw new Error(`${bundledBrowser.name} does not say where its browser is`);
  return {
    executablePath: z.string().parse(await Reflect.apply(locate, bundle, [])),
    args: z.array(z.string()).parse(Reflect.get(Object(bundle), "args")),
  };
}
