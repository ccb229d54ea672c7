import { Route, Routes } from "react-router";
import { SessionFrame } from "../../src/tablet/screens/frame/session-frame.tsx";

/** The frame of a belt test around a page that only says that it is there. */
export const aFramedPage = (
  <Routes>
    <Route element={<SessionFrame />}>
      <Route path="*" element={<p>the screen itself</p>} />
    </Route>
  </Routes>
);
