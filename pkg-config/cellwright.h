/*
 * cellwright: plans small cordless 12 V-class builds from salvaged cells.
 *
 * Ownership: texts that you pass stay yours. The text that cellwright_ask returns is yours too: give it back with
 * cellwright_free, once, and with nothing else. The text of cellwright_version is the library's: never give it back.
 * All texts are UTF-8 and end with a zero. Every function may be called from any thread at any time.
 */
#ifndef CELLWRIGHT_H
#define CELLWRIGHT_H

#define CELLWRIGHT_VERSION "0.1.0"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * Asks a question by name; json is its input. Returns the answer as JSON text, or {"errors": [...]} with every
 * mistake of the input: code, path (a JSON Pointer), field, given, accepted, position, low, high, message.
 * Null arguments and bytes that are not UTF-8 are told as mistakes. Returns NULL only where memory has run out or
 * the library has a defect.
 */
char *cellwright_ask(const char *question, const char *json);

/* Gives back a text from cellwright_ask; NULL is passed over. */
void cellwright_free(char *text);

/* Version of the library that runs; compare it with CELLWRIGHT_VERSION, the version of this header. */
const char *cellwright_version(void);

#ifdef __cplusplus
}
#endif

#endif
