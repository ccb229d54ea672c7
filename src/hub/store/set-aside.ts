import { existsSync, readdirSync, renameSync } from "node:fs";
import { basename, dirname, join } from "node:path";

/** A store's file and what lies beside it: its log with the last commits, and the mark that says it was open. */
const PARTS = ["", "-wal", "-shm", "-open"];

/**
 * Gives the store that is there another name, with what belongs to it. The store's own file goes first: a power cut after it is known by its place being free.
 * @returns that name
 */
export function setAside(path: string, aside = nameAside(path)): string {
  for (const part of PARTS)
    if (existsSync(`${path}${part}`)) renameSync(`${path}${part}`, `${aside}${part}`);
  return aside;
}

/**
 * What a power cut left behind of a store whose own file was put aside goes after it: nothing of it is played into the store that takes its place, and nothing
 * of it is lost.
 * @returns the name of what it went after; undefined where nothing was left
 */
export function finishSettingAside(path: string): string | undefined {
  if (!PARTS.some((part) => existsSync(`${path}${part}`))) return undefined;
  const newest = newestAside(path);
  const isTheirs =
    newest !== undefined &&
    PARTS.every((part) => !existsSync(`${path}${part}`) || !existsSync(`${newest}${part}`));
  return setAside(path, isTheirs ? newest : nameAside(path));
}

const nameAside = (path: string): string =>
  `${path}.aside-${new Date().toISOString().replace(/[-:.]/g, "")}`;

function newestAside(path: string): string | undefined {
  const begin = `${basename(path)}.aside-`;
  const [newest] = readdirSync(dirname(path))
    .filter((name) => name.startsWith(begin) && /^[0-9TZ]+$/.test(name.slice(begin.length)))
    .sort()
    .reverse();
  return newest && join(dirname(path), newest);
}
