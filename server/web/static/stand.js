// The stand: record a wheel.
import { start } from './floor-page.js';
import { stand } from './stand-screen.js';
import { Turning } from './stand-turns-page.js';
import { Masking } from './stand-masking.js';
import './stand-events.js';

start({ ...stand, turns: (page) => new Turning(page), masks: (page) => new Masking(page) });
