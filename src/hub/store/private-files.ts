import { chmodSync, closeSync, existsSync, openSync, statSync } from "node:fs";

/** SQLite keeps these beside the database; it gives them the database's own mode when it makes them. */
const besides = ["", "-wal", "-shm", "-journal"];

/**
 * Keeps a database to whoever runs the hub: names and marks of children are in it. Made so before SQLite makes it, and mended where it was open before.
 * Where the file is somebody else's, or the disk knows no owners, it stays as it is: whoever may read it then, the system decides.
 */
export function keepPrivate(file: string): void {
  if (!existsSync(file)) closeSync(openSync(file, "a", 0o600));
  for (const end of besides) setMode(`${file}${end}`, 0o600);
}

/** The same of the folder it lies in, unless it is one that the whole machine shares, such as /tmp. */
export function keepFolderPrivate(folder: string): void {
  const { mode } = statSync(folder);
  const isShared = (mode & 0o1000) !== 0;
  if (!isShared) setMode(folder, 0o700);
}

function setMode(path: string, mode: number): void {
  try {
    if (existsSync(path) && (statSync(path).mode & 0o777) !== mode) chmodSync(path, mode);
  } catch (error) {
    const { code = "" } = error as { code?: string };
    if (!/^(EPERM|EACCES|EROFS|ENOENT|ENOSYS|ENOTSUP)$/.test(code)) throw error;
  }
}
