// The bench pages with a script: they read and work without it.

import { setClock, startCounting } from "./clocks.js";

const bench = document.querySelector("[data-now]");
if (bench) setClock(bench.dataset.now);
startCounting();
