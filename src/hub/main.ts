import { mkdirSync, readFileSync } from "node:fs";
import { networkInterfaces } from "node:os";
import { FaultError } from "../core/faults.ts";
import { Backups } from "./backups.ts";
import { buildHub, type Hub, type HubSettings } from "./build-hub.ts";
import { FrontDesk } from "./front-desk.ts";
import { openErasedLog } from "./storage/erased-log.ts";
import { holdFolder } from "./storage/hold-folder.ts";
import { type HubDatabase, openDatabase } from "./storage/open-database.ts";
import { sqliteDoorTables } from "./storage/sqlite-door-tables.ts";
import { sqliteScorebook } from "./storage/sqlite-scorebook.ts";
import { storeFile } from "./storage/store-file.ts";

export interface StartSettings {
  port: number;
  host: string;
  dataFolder: string;
  tabletFolder?: string;
  names?: readonly string[];
  triesAMinute?: number;
  more?: NonNullable<HubSettings["more"]>;
  /** Copies made by itself: where, how often (0: only at the closing of a test and at the end), and how one is made. */
  backups?: ConstructorParameters<typeof Backups>[0];
}
export interface RunningHub extends Pick<Hub, "desk" | "rooms"> {
  port: number;
  /** Where people in the hall reach this hub; the machine itself last. */
  addresses: string[];
  close(): Promise<void>;
}

/** Opens the data folder and listens. @throws FaultError PORT_IN_USE, STORE_IN_USE, STORE_DAMAGED, STORE_LOST. */
export async function startHub(settings: StartSettings): Promise<RunningHub> {
  const { port, host, dataFolder, backups: copies, ...rest } = settings;
  const file = storeFile(dataFolder);
  try {
    mkdirSync(dataFolder, { recursive: true, mode: 0o700 });
  } catch (cause) {
    throw new FaultError(
      { code: "STORE_LOST", with: { file: dataFolder, detail: String(cause) } },
      { cause },
    );
  }
  const letGo = holdFolder(dataFolder);
  let database: HubDatabase;
  try {
    database = openDatabase(file);
  } catch (error) {
    letGo();
    throw error;
  }
  const store = sqliteScorebook(database, file);
  const desk = await FrontDesk.open(sqliteDoorTables(database, file), Date.now);
  const erasedLog = openErasedLog(dataFolder);
  // A database that somebody put back by hand may be older than an erasing.
  for (const { grading, about } of erasedLog.all()) await store.erase(grading, about);
  const backups = copies && new Backups(copies);
  let listening = port;
  const addresses = () => addressesOf(host, listening);
  const { app, rooms } = await buildHub({
    ...rest,
    store,
    storeName: "sqlite",
    desk,
    erasedLog,
    ...(backups && { backups }),
    addresses,
    version: version(),
  });
  try {
    await app.listen({ port, host });
  } catch (error) {
    await app.close();
    await store.close();
    letGo();
    if ((error as { code?: string }).code !== "EADDRINUSE") throw error;
    throw new FaultError({ code: "PORT_IN_USE", with: { port } }, { cause: error });
  }
  const bound = app.server.address();
  if (typeof bound === "object" && bound) listening = bound.port;
  return {
    desk,
    rooms,
    port: listening,
    addresses: addresses(),
    async close() {
      await app.close();
      await backups?.close();
      await store.close();
      letGo();
    },
  };
}

function addressesOf(host: string, port: number): string[] {
  const isEverywhere = host === "0.0.0.0" || host === "::";
  const hosts = isEverywhere
    ? Object.values(networkInterfaces())
        .flatMap((all) => all ?? [])
        .filter(({ family, internal }) => family === "IPv4" && !internal)
        .map(({ address }) => address)
    : host === "127.0.0.1" || host === "localhost"
      ? []
      : [host];
  return [...hosts, "localhost"].map((name) => `http://${name}:${port}`);
}

function version(): string {
  const file = new URL("../../package.json", import.meta.url);
  return (JSON.parse(readFileSync(file, "utf8")) as { version: string }).version;
}
