/** Characters 128 to 255 of the DOS code pages that TextDecoder lacks. Source: the Unicode Consortium's mapping tables. */
const dosPages: Readonly<Record<string, string>> = {
  cp437:
    'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u00a0',
  cp850:
    'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐└┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u00ad±‗¾¶§÷¸°¨·¹³²■\u00a0',
  cp852:
    'ÇüéâäůćçłëŐőîŹÄĆÉĹĺôöĽľŚśÖÜŤťŁ×čáíóúĄąŽžĘę¬źČş«»░▒▓│┤ÁÂĚŞ╣║╗╝Żż┐└┴┬├─┼Ăă╚╔╩╦╠═╬¤đĐĎËďŇÍÎě┘┌█▄ŢŮ▀ÓßÔŃńňŠšŔÚŕŰýÝţ´\u00ad˝˛ˇ˘§÷¸°¨˙űŘř■\u00a0',
};

/**
 * Language driver ids of a dBASE table (byte 29) and the code pages they stand for, as far as TextDecoder or the tables
 * above have them. From memory of the dBASE and FoxPro lists.
 */
const languageDrivers: Readonly<Record<number, string>> = {
  1: 'cp437',
  2: 'cp850',
  3: 'windows-1252',
  8: 'cp437',
  9: 'cp437',
  10: 'cp850',
  11: 'cp437',
  13: 'cp437',
  14: 'cp850',
  15: 'cp437',
  16: 'cp850',
  17: 'cp437',
  18: 'cp850',
  19: 'shift_jis',
  20: 'cp850',
  21: 'cp437',
  22: 'cp850',
  24: 'cp437',
  25: 'cp437',
  26: 'cp850',
  27: 'cp437',
  29: 'cp850',
  31: 'cp852',
  34: 'cp852',
  35: 'cp852',
  37: 'cp850',
  38: 'ibm866',
  55: 'cp850',
  64: 'cp852',
  77: 'gbk',
  78: 'euc-kr',
  79: 'big5',
  80: 'windows-874',
  87: 'windows-1252',
  88: 'windows-1252',
  89: 'windows-1252',
  100: 'cp852',
  101: 'ibm866',
  120: 'big5',
  121: 'euc-kr',
  122: 'gbk',
  123: 'shift_jis',
  124: 'windows-874',
  125: 'windows-1255',
  126: 'windows-1256',
  135: 'cp852',
  200: 'windows-1250',
  201: 'windows-1251',
  202: 'windows-1254',
  203: 'windows-1253',
  204: 'windows-1257',
};

/** Turns bytes into text. */
export type Decode = (bytes: Uint8Array) => string;

/** The decoder of a page by any of its usual names: `UTF-8`, `1252`, `ANSI 1252`, `ISO 88591`, `OEM 437`; null if unknown. */
export function decoderOf(page: string): Decode | null {
  const name = page.trim().toLowerCase();
  const dos = /^(?:oem|cp|ibm|dos)?[\s_-]*(437|850|852)$/.exec(name);
  if (dos) return dosDecoder(dosPages[`cp${dos[1]}`]);
  for (const label of labelsOf(name)) {
    try {
      const decoder = new TextDecoder(label);
      return (bytes) => decoder.decode(bytes);
    } catch {
      // Not a label of the Encoding Standard: the next spelling is tried.
    }
  }
  return null;
}

/** Name of the page that a language driver stands for; null where it is not known. */
export function pageOfLanguageDriver(id: number): string | null {
  return Object.hasOwn(languageDrivers, id) ? languageDrivers[id] : null;
}

/** UTF-8 where the bytes are that, else Western European: for tables that state no page. */
export function guessingDecoder(): Decode {
  const strict = new TextDecoder('utf-8', { fatal: true });
  const western = new TextDecoder('windows-1252');
  return (bytes) => {
    try {
      return strict.decode(bytes);
    } catch {
      return western.decode(bytes);
    }
  };
}

/**
 * A page that a table states is often that of the program that wrote it, not of its text. Bytes that are UTF-8 with at
 * least one character beyond ASCII are text in no page of single bytes: they are read as UTF-8, and `notice` is told.
 */
export function preferringUtf8(page: Decode, notice: () => void): Decode {
  const strict = new TextDecoder('utf-8', { fatal: true });
  return (bytes) => {
    if (!bytes.some((byte) => byte >= 0x80)) return page(bytes);
    try {
      const text = strict.decode(bytes);
      notice();
      return text;
    } catch {
      return page(bytes);
    }
  };
}

/** Whether every byte of the page is a character of its own, by any of the page's usual names. */
export const isSingleByte = (page: string): boolean =>
  !/932|936|949|950|utf|65001|jis|gbk|big5|euc/i.test(page);

function labelsOf(name: string): string[] {
  const number = /(\d{3,5})\D*$/.exec(name)?.[1] ?? '';
  const iso = /^(?:iso)?[\s_-]*8859[\s_-]?(\d{1,2})$/.exec(name);
  if (number === '65001') return ['utf-8'];
  if (iso) return [`iso-8859-${iso[1]}`];
  const windows: Readonly<Record<string, string>> = {
    932: 'shift_jis',
    936: 'gbk',
    949: 'euc-kr',
    950: 'big5',
    866: 'ibm866',
  };
  return [name, ...(Object.hasOwn(windows, number) ? [windows[number]] : []), `windows-${number}`];
}

function dosDecoder(upper: string): Decode {
  return (bytes) => {
    let text = '';
    for (const byte of bytes) text += byte < 128 ? String.fromCharCode(byte) : upper[byte - 128];
    return text;
  };
}
