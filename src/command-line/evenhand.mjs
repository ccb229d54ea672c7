#!/usr/bin/env node
// TypeScript is read as it is: nothing to build before the first command.
import { register } from "tsx/esm/api";

register();
const { main } = await import("./main.ts");
process.exitCode = await main(process.argv.slice(2));
