/** A file name without folders and without its last extension. */
export function stemOf(name: string): string {
  return name.replace(/^.*[\\/]/, '').replace(/(?<=.)\.[^.]*$/, '');
}

/** The last extension in small letters, without its dot; '' where there is none. */
export function extensionOf(name: string): string {
  return /(?<=.)\.([^.\\/]*)$/.exec(name)?.[1].toLowerCase() ?? '';
}
