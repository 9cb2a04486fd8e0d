// Move a rack, move a tank along its shelf, turn an elbow: by pointer or by keys.

import { takeElbow } from "./hold_elbow.js";
import { takeRack } from "./hold_rack.js";
import { takeTank } from "./hold_tank.js";
import { hold } from "./holding.js";

hold([
  [".grip", takeRack],
  [".slide", takeTank],
  [".turner", takeElbow],
]);
