import { lazy, Suspense } from "react";
import { BrowserRouter, Route, Routes } from "react-router";
import { Lost } from "./screens/frame/lost.tsx";
import { LostBoundary } from "./screens/frame/lost-boundary.tsx";
import { Opening } from "./screens/frame/opening.tsx";
import { RoleHome } from "./screens/frame/role-home.tsx";
import { SessionFrame } from "./screens/frame/session-frame.tsx";
import { JudgeScreen } from "./screens/judge/judge-screen.tsx";

// Only the judge's screen comes with the app: a tablet on a forearm must show its board at once, also with the hub gone.
// Lazy too: a judge who joined by the code never needs the first page, and its words are many.
const HomeScreen = lazy(async () => ({
  default: (await import("./screens/home/home-screen.tsx")).HomeScreen,
}));
const JoinScreen = lazy(async () => ({
  default: (await import("./screens/join/join-screen.tsx")).JoinScreen,
}));
const CallerScreen = lazy(async () => ({
  default: (await import("./screens/caller/caller-screen.tsx")).CallerScreen,
}));
const DeskScreen = lazy(async () => ({
  default: (await import("./screens/desk/desk-screen.tsx")).DeskScreen,
}));
const SetUpScreen = lazy(async () => ({
  default: (await import("./screens/set-up/set-up-screen.tsx")).SetUpScreen,
}));
const BoardScreen = lazy(async () => ({
  default: (await import("./screens/chief/board-screen.tsx")).BoardScreen,
}));
const DoorScreen = lazy(async () => ({
  default: (await import("./screens/chief/door-screen.tsx")).DoorScreen,
}));
const PanelScreen = lazy(async () => ({
  default: (await import("./screens/chief/panel-screen.tsx")).PanelScreen,
}));
const ItemsScreen = lazy(async () => ({
  default: (await import("./screens/chief/items-screen.tsx")).ItemsScreen,
}));
const AnchorsScreen = lazy(async () => ({
  default: (await import("./screens/chief/anchors-screen.tsx")).AnchorsScreen,
}));
const KeptScreen = lazy(async () => ({
  default: (await import("./screens/chief/kept-screen.tsx")).KeptScreen,
}));
const OwnScreen = lazy(async () => ({
  default: (await import("./screens/own/own-screen.tsx")).OwnScreen,
}));
const CandidateScreen = lazy(async () => ({
  default: (await import("./screens/chief/candidate-screen.tsx")).CandidateScreen,
}));
const SheetsScreen = lazy(async () => ({
  default: (await import("./screens/sheets/sheets-screen.tsx")).SheetsScreen,
}));

/** Every address of the app. Each screen but the judge's comes with its own script, when it is opened. */
export function Router() {
  return (
    <BrowserRouter>
      <LostBoundary>
        <Suspense fallback={<Opening />}>
          <Routes>
            <Route path="/" element={<HomeScreen />} />
            <Route path="/join" element={<JoinScreen />} />
            <Route path="/tests/:grading" element={<SessionFrame />}>
              <Route index element={<RoleHome />} />
              <Route path="judge" element={<JudgeScreen />} />
              <Route path="own" element={<OwnScreen />} />
              <Route path="caller" element={<CallerScreen />} />
              <Route path="desk" element={<DeskScreen />} />
              <Route path="set-up" element={<SetUpScreen />} />
              <Route path="chief" element={<BoardScreen />} />
              <Route path="chief/door" element={<DoorScreen />} />
              <Route path="chief/panel" element={<PanelScreen />} />
              <Route path="chief/items" element={<ItemsScreen />} />
              <Route path="chief/anchors" element={<AnchorsScreen />} />
              <Route path="chief/kept" element={<KeptScreen />} />
              <Route path="chief/candidates/:candidate" element={<CandidateScreen />} />
              <Route path="sheets" element={<SheetsScreen />} />
            </Route>
            <Route path="*" element={<Lost />} />
          </Routes>
        </Suspense>
      </LostBoundary>
    </BrowserRouter>
  );
}
