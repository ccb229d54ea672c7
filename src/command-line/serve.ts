import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import qrcode from "qrcode";
import { type Fault, FaultError, faultsThatAre } from "../book/faults.ts";
import { exampleTest } from "../demo/example-test.ts";
import { type RunningHub, startHub } from "../hub/main.ts";
import type { LeftOpen } from "../hub/store/open-mark.ts";
import { storeHomeAt } from "../hub/store/open-store.ts";
import { isPostgresAddress } from "../hub/store/postgres-address.ts";
import { testBooks } from "../hub/test-room/test-books.ts";
import hubWords from "../words/en/hub.json" with { type: "json" };
import { sayIn } from "../words/say.ts";
import { endLost } from "./ask-lost.ts";
import { copyByCommand } from "./copy-by-command.ts";
import { restore } from "./restore.ts";
import { faultInWords } from "./say-terminal.ts";
import { troubleText } from "./trouble.ts";
import { wayForward } from "./way-forward.ts";

const say = sayIn(hubWords);
const DEFAULT_PORT = "8080";
/** The usual pair of ports; any other plain port has the secure one beside it. */
const securePort = (plain: number): number => (plain === 8080 ? 8443 : plain + 1);
/** Minutes; a copy is made only where something new came. */
const DEFAULT_BACKUP_EVERY = "10";
const tabletFolder = fileURLToPath(new URL("../../build/tablet", import.meta.url));

/** At the pace of a hall. */
const EXAMPLE_SPEED = 1;

/**
 * Serves the app and the hub until it is told to stop.
 * @param isDemo  a store of its own that is thrown away, and a link straight into the example test.
 * @returns the exit code.
 */
export async function serve(args: string[], isDemo = false): Promise<number> {
  let options: ReturnType<typeof readOptions> | undefined;
  try {
    options = readOptions(args);
    if (options.help) {
      console.log(say(isDemo ? "usage-demo" : "usage"));
      return 0;
    }
    const dataFolder = isDemo ? mkdtempSync(join(tmpdir(), "evenhand-demo-")) : options.dataFolder;
    let port = options.port;
    const syncUrl = () => `ws://127.0.0.1:${port}/api/sync`;
    const more = exampleTest({ syncUrl, speed: EXAMPLE_SPEED });
    const copies = {
      folder: copiesOf(options),
      everyMinutes: options.backupEvery ?? 0,
      copy: copyByCommand(storeHomeAt({ dataFolder, address: options.store }, testBooks)),
      onFailed: (fault: Fault) => console.error(`\n${faultInWords(fault)}`),
    };
    const stop = toldToStop();
    let isTold = false;
    void stop.then(() => (isTold = true));
    let isAgain = false;
    let isFromCopy = false;
    for (; ; isAgain = true) {
      let beginFrom: (copy: string) => void = () => undefined;
      const broughtBack = new Promise<string>((resolve) => {
        beginFrom = resolve;
      });
      const hub = await startHub({
        ...options,
        port,
        store: isDemo ? undefined : options.store,
        dataFolder,
        tabletFolder,
        // A demonstration's certificate would be gone with its store.
        tls: isDemo ? undefined : options.tls,
        // Nobody looks for a demonstration by name.
        announce: isDemo ? undefined : options.announce,
        more,
        ...(isDemo || options.backupEvery === undefined ? {} : { backups: copies }),
        onTrouble: (fault) => void tellTrouble(fault, options),
        bringBack: isDemo || options.store ? undefined : { folder: dataFolder, onSound: beginFrom },
      });
      port = hub.port;
      const { isLost, json } = options;
      const isNewKey = options.newKey && !isAgain;
      if (isNewKey)
        await endLost(hub.desk, { isLost, mayAsk: process.stdin.isTTY === true && !json });
      const needsKey = isFromCopy || isNewKey || (await hub.desk.isUnclaimed());
      const key = needsKey ? await hub.desk.newKey() : undefined;
      if (options.json)
        console.log(
          JSON.stringify({
            port: hub.port,
            addresses: hub.addresses,
            name: await hub.hallName,
            secure: hub.secure,
            key,
          }),
        );
      else {
        if (isDemo) console.log(`\n${say("demo", { link: `http://localhost:${port}/#example` })}`);
        console.log(await greeting(hub, key, options));
      }
      for (const fault of hub.damagedNotes) console.error(`\n${faultInWords(fault)}`);
      if (hub.leftOpen) console.error(`\n${howItEnded(hub.leftOpen)}`);
      for (const fault of hub.behind) console.error(`\n${faultInWords(fault)}`);
      const ended = await Promise.race([
        stop.then(() => undefined),
        broughtBack.then((copy) => ({ copy })),
        hub.failed,
      ]);
      if (ended && "fault" in ended) {
        const { fault, saved } = ended;
        console.error(`\n${faultInWords(fault)}`);
        if (saved)
          console.error(say("saved", { file: saved, command: putBack(saved, dataFolder) }));
        await hub.close();
        if (saved) return 2;
        if (fault.code !== "STORE_PUT_BACK") throw new FaultError(fault);
        // Whoever ends it while it fails anew at each beginning is heard.
        if (isTold) break;
        isFromCopy = false;
        continue;
      }
      const { copy } = ended ?? {};
      if (!options.json) console.error(`\n${say(copy ? "beginning-again" : "stopping")}`);
      await hub.close();
      if (copy === undefined) break;
      await beginFromCopy(copy, dataFolder);
      isFromCopy = true;
    }
    if (isDemo) rmSync(dataFolder, { recursive: true, force: true });
    return 0;
  } catch (error) {
    if (!(error instanceof FaultError)) throw error;
    await tellTrouble(error.fault, options);
    return 2;
  }
}

const lost = faultsThatAre("place-is-lost");

/** What is wrong, and with a store or a test that is lost the way forward. */
async function tellTrouble(
  fault: Fault,
  options: ReturnType<typeof readOptions> | undefined,
): Promise<void> {
  console.error(faultInWords(fault));
  const { code, with: { why } = {} } = fault;
  const isLost = lost.has(code) || (code === "STORE_UNREACHABLE" && why === "database");
  if (!isLost || !options) return;
  const home = storeHomeAt({ dataFolder: options.dataFolder, address: options.store }, testBooks);
  const way = await wayForward(home, copiesOf(options));
  if (way) console.error(way);
}

const howItEnded = ({ why }: LeftOpen): string =>
  why ? say("ended-because", { why: faultInWords(why) }) : say("ended-unclosed");

const putBack = (copy: string, dataFolder: string): string =>
  `evenhand restore ${relative(process.cwd(), copy)} --data ${relative(process.cwd(), dataFolder)} --set-aside`;

/** Puts the copy in the place of the store. Where that fails it is said, and the hub begins with what is there: whoever waits for it in the hall is better off. */
async function beginFromCopy(copy: string, dataFolder: string): Promise<void> {
  const terminal = { out: console.error, err: console.error, width: 80, folder: dataFolder };
  try {
    await restore.run([copy, "--data", dataFolder, "--set-aside"], terminal);
    rmSync(copy, { force: true });
  } catch (error) {
    const text = troubleText(error);
    if (text === undefined) throw error;
    console.error(text);
  }
}

const copiesOf = ({ backupTo, dataFolder }: ReturnType<typeof readOptions>): string =>
  backupTo ?? join(dataFolder, "backups");

function readOptions(args: string[]) {
  const { values } = parsed(args);
  const port = values.port ?? process.env.PORT ?? DEFAULT_PORT;
  if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535)
    throw new FaultError({ code: "USAGE", with: { detail: say("port-wrong", { port }) } });
  const every = values["backup-every"] ?? DEFAULT_BACKUP_EVERY;
  if (!/^(\d{1,4}|never)$/.test(every))
    throw new FaultError({ code: "USAGE", with: { detail: say("backup-every-wrong", { every }) } });
  const secure = values["secure-port"];
  if (secure !== undefined && (!/^\d{1,5}$/.test(secure) || Number(secure) > 65_535))
    throw new FaultError({ code: "USAGE", with: { detail: say("port-wrong", { port: secure }) } });
  const host = values.host ?? "0.0.0.0";
  // A browser trusts the machine it runs on without a certificate.
  const isPlain = (values.plain ?? false) || (isOnlyHere(host) && secure === undefined);
  if (values.store !== undefined && !isPostgresAddress(values.store))
    throw new FaultError({ code: "USAGE", with: { detail: say("store-wrong") } });
  return {
    store: values.store,
    port: Number(port),
    host,
    tls: isPlain
      ? undefined
      : {
          port: secure === undefined ? securePort : () => Number(secure),
          isAskedFor: secure !== undefined,
        },
    dataFolder: resolve(values.data ?? "evenhand-data"),
    names: values.name ?? [],
    announce: values.unnamed || isOnlyHere(host) ? undefined : {},
    backupTo: values["backup-to"] && resolve(values["backup-to"]),
    backupEvery: every === "never" ? undefined : Number(every),
    newKey: (values["new-key"] ?? false) || (values.lost ?? false),
    isLost: values.lost ?? false,
    json: values.json ?? false,
    help: values.help ?? false,
  };
}

const isOnlyHere = (host: string): boolean => host === "127.0.0.1" || host === "localhost";

function parsed(args: string[]) {
  try {
    return parseArgs({
      args,
      options: {
        port: { type: "string" },
        host: { type: "string" },
        "secure-port": { type: "string" },
        plain: { type: "boolean" },
        data: { type: "string" },
        store: { type: "string" },
        name: { type: "string", multiple: true },
        unnamed: { type: "boolean" },
        "backup-to": { type: "string" },
        "backup-every": { type: "string" },
        "new-key": { type: "boolean" },
        lost: { type: "boolean" },
        json: { type: "boolean" },
        help: { type: "boolean", short: "h" },
      },
    });
  } catch (error) {
    throw new FaultError(
      { code: "USAGE", with: { detail: (error as Error).message.replace(/\.$/, "") } },
      { cause: error },
    );
  }
}

/** What is printed at the start: 80 columns, the QR code for the tablets, the key for the chief. */
async function greeting(
  hub: RunningHub,
  key: string | undefined,
  { host, store }: { host: string; store: string | undefined },
): Promise<string> {
  const here = `http://localhost:${hub.port}`;
  const [first, ...others] = hub.addresses.filter((address) => address !== here);
  const isBuilt = existsSync(join(tabletFolder, "index.html"));
  const { secure } = hub;
  const name = await hub.hallName;
  const isVouched =
    isBuilt &&
    typeof secure === "object" &&
    first !== undefined &&
    secure.addresses.some((one) => new URL(one).hostname === new URL(first).hostname);
  return [
    "",
    say("ready"),
    ...(isBuilt ? [] : ["", say("not-built")]),
    "",
    say("here"),
    `    ${here}`,
    "",
    ...(first
      ? [
          say("tablets"),
          `    ${first}`,
          await qrCode(`${first}/${isVouched ? "trust" : "join"}`),
          ...(others.length > 0
            ? [say("more-addresses"), ...others.map((one) => `    ${one}`), ""]
            : []),
          ...(name ? [say("by-name"), `    http://${name}:${hub.port}`, ""] : []),
          ...(isVouched
            ? [
                ...(secure.notice
                  ? [say(`authority-${secure.notice.kind}`, { ...secure.notice }), ""]
                  : []),
                say("trust", { name: secure.name }),
                ...inTwoLines(secure.fingerprint),
              ]
            : [
                ...(secure === "taken"
                  ? [say("secure-taken", { port: securePort(hub.port) })]
                  : []),
                say("plain"),
              ]),
        ]
      : [say(isOnlyHere(host) ? "only-here" : "no-network")]),
    "",
    ...(key
      ? [say("key"), `    ${key}`, say("key-here"), `    ${here}/#key=${key}`, say("key-care"), ""]
      : []),
    say(store ? "data-shared" : "data", { folder: hub.keptIn }),
    say("stop"),
  ].join("\n");
}

/** Thirty-two pairs are wider than a terminal. */
function inTwoLines(fingerprint: string): string[] {
  const half = (fingerprint.length - 1) / 2;
  return [fingerprint.slice(0, half), fingerprint.slice(half + 1)].map((line) => `    ${line}`);
}

/** Dark on light whatever the terminal's colours; without a terminal, plain characters. */
function qrCode(address: string): Promise<string> {
  const type = process.stdout.isTTY ? "terminal" : "utf8";
  return qrcode.toString(address, { type, small: true, errorCorrectionLevel: "L" });
}

/** Resolves at the first Ctrl+C or request to end; one that comes a second later does not wait. */
function toldToStop(): Promise<void> {
  return new Promise((stop) => {
    let firstAtMs = 0;
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const)
      process.on(signal, () => {
        // Ctrl+C reaches this process from the terminal and once more by way of npm.
        if (firstAtMs > 0 && Date.now() - firstAtMs > 1000) process.exit(1);
        firstAtMs ||= Date.now();
        stop();
      });
  });
}
