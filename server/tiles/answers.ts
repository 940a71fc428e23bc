import { judgeOverlay } from '#core/register/overlay.ts';
import { overlayAnswers } from '#shared/outlook.ts';
import { answerFor, type OutlookQuestion } from '../overlay-outlook.ts';
import type { Database } from '../store/database.ts';
import { keeper } from '../store/kept.ts';
import { eachPlacedCandidate, listPlacedStructures } from '../store/overlay-outlook.ts';
import { type TileAddress, tileExtent } from '../store/tiles/area.ts';
import { finestCellBits, firstCoverZoom } from '../store/tiles/places.ts';
import { findScopeRevision } from '../store/tiles/summary.ts';
import { type CellCount, countsInTile } from './cells.ts';
import { placer } from './chosen.ts';
import { encodeCounts, layerNames } from './encode.ts';
import { PointLayer } from './layer.ts';

/**
 * A tile of what structures say to an overlay: points with `id`, `answer` and, where it is known, `left`, the overlays that
 * fit in; below zoom 13 numbers by cell, `covers` in all and so many of each answer.
 */
export async function makeAnswerTile(
  database: Database,
  question: OutlookQuestion,
  address: TileAddress,
): Promise<Uint8Array> {
  if (address.z < firstCoverZoom) {
    const counts = countsInTile(address, await countCells(database, question));
    const shown = counts.filter(([, answer]) => question.answer === null || answer === question.answer);
    return encodeCounts(address, shown, overlayAnswers);
  }
  const layer = new PointLayer(layerNames.covers, tileExtent);
  const [id, answer, left] = ['id', 'answer', 'left'].map((name) => layer.key(name));
  const inTile = placer(address);
  for (const structure of await listPlacedStructures(database.kysely, question.scope, address)) {
    const said = answerFor(structure, question);
    if (question.answer !== null && said.answer !== question.answer) continue;
    layer.tag(id, layer.value(structure.id));
    layer.tag(answer, layer.value(said.answer));
    if (said.overlaysLeft !== null) layer.tag(left, layer.value(said.overlaysLeft));
    layer.point(structure.number, ...inTile(structure));
  }
  return layer.finish();
}

/** Cells of a city are a megabyte or two. */
const cells = keeper<CellCount[]>(8);

/** All are judged once for a question, which takes half a second of a city, and again after a change to any of them. */
async function countCells(database: Database, question: OutlookQuestion): Promise<CellCount[]> {
  const { scope, overlay, limit } = question;
  const token = await findScopeRevision(database.kysely, scope);
  const name = JSON.stringify([scope, overlay, limit.valueM]);
  return cells(database.kysely, { name, token }, async () => {
    const found = new Map<string, CellCount>();
    await eachPlacedCandidate(database, scope, ({ x, y, ...candidate }) => {
      const { answer } = judgeOverlay(candidate, overlay, limit.valueM);
      const [cellX, cellY] = [x >> finestCellBits, y >> finestCellBits];
      const key = `${cellX} ${cellY} ${answer}`;
      let cell = found.get(key);
      if (!cell) {
        cell = { x: cellX, y: cellY, kind: answer, covers: 0, sumX: 0, sumY: 0 };
        found.set(key, cell);
      }
      cell.covers += 1;
      cell.sumX += x;
      cell.sumY += y;
    });
    return [...found.values()];
  });
}
