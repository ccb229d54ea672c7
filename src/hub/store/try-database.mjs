// Opens a database in a process of its own and looks through it: where it is so damaged that the library that reads it aborts, this process ends
// and not the hub. Prints `ok`, or what is wrong. Arguments: the file, and `whole` to look into its indexes too.
import Database from "libsql";

const [, , path, how] = process.argv;
try {
  const database = new Database(path);
  database.pragma("busy_timeout = 5000");
  const check = how === "whole" ? "integrity_check" : "quick_check";
  const [first] = database.pragma(`${check}(1)`);
  process.stdout.write(first?.[check] ?? "no answer");
} catch (error) {
  process.stdout.write(error instanceof Error ? error.message : String(error));
}
