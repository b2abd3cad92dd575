// The bench: record a pack.
import { start } from './floor-page.js';
import { bench } from './bench-screen.js';

start(bench);
