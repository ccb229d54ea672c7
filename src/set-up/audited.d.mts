export function audited(
  said: string,
):
  | { kind: "sound" }
  | { kind: "dangerous"; packages: string[] }
  | { kind: "not-asked"; why: string };
