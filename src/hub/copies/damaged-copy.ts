import { FaultError } from "../../book/faults.ts";
import { withStoreFaults } from "../store/store-faults.ts";

/** Looking through a whole file names what the disk did not give beside what is damaged: https://www.sqlite.org/rescode.html#ioerr */
const NOT_GIVEN = /error code=(\d+)/;
const IO_ERROR = 10;

/** Whether a copy is damaged itself, or no copy at all; else the disk did not give it, and nothing is known of it. */
export function isDamage(error: unknown): boolean {
  if (!(error instanceof FaultError) || error.fault.code !== "STORE_DAMAGED") return false;
  const [, code] = NOT_GIVEN.exec(String(error.fault.with?.detail)) ?? [];
  return code === undefined || Number(code) % 256 !== IO_ERROR;
}

/** What a reading of a copy gives; undefined where the copy is damaged. @throws FaultError where the disk does not give it */
export function unlessDamaged<T>(copy: string, read: () => T): T | undefined {
  try {
    return withStoreFaults(copy, read);
  } catch (error) {
    if (isDamage(error)) return undefined;
    throw error;
  }
}
