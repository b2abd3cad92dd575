// The bench: record a pack.
import { start } from './floor-page.js';
import './stand-events.js';
import { bench } from './bench-screen.js';
import { Working } from './bench-working.js';

start({ ...bench, works: (page) => new Working(page) });
