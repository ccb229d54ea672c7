/** Runs in a page: whether nothing waits on this device's disk for a hub. */
export function outboxIsEmpty(): Promise<boolean> {
  return new Promise((done) => {
    const request = indexedDB.open("evenhand");
    request.onsuccess = () => {
      const count = request.result.transaction("outbox").objectStore("outbox").count();
      count.onsuccess = () => {
        request.result.close();
        done(count.result === 0);
      };
    };
  });
}
