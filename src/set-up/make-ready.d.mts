/** Makes a fresh clone ready to run. @returns whether it is ready; what is wrong has been said. */
export function makeReady(): Promise<boolean>;
