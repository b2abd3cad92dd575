// Opens the page anew once the search that runs is over.
import { over } from "./searching-wait.js";

const where = document.getElementById("searching")?.dataset.ask;
if (where) {
  over({ ask: () => fetch(where, { headers: { Accept: "application/json" } }).then((answer) => (answer.ok ? answer.json() : Promise.reject(new Error(String(answer.status))))), wait: (ms) => new Promise((done) => setTimeout(done, ms)) })
    .then((done) => done && location.reload());
}
