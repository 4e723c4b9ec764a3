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

/* A question that is asked in steps: "match" or "runtime_spread". One thread at a time may use one of them. */
typedef struct cellwright_stepped cellwright_stepped;

/*
 * Starts a question that is asked in steps; give it to cellwright_end, once. Returns NULL where the input has
 * mistakes, and then puts them into *mistakes as JSON text, which is yours; otherwise puts NULL there. mistakes may
 * be NULL.
 */
cellwright_stepped *cellwright_begin(const char *question, const char *json, char **mistakes);

/*
 * Spends count nodes, draws or turns and tells as JSON text how far it has come: the best so far, its bound, done.
 * The text is yours. NULL where work is NULL or the library has a defect.
 */
char *cellwright_step(cellwright_stepped *work, double count);

/* The answer with the effort spent so far (a plan's once it is done), as JSON text, which is yours. */
char *cellwright_so_far(const cellwright_stepped *work);

/* Gives back what cellwright_begin returned; NULL is passed over. */
void cellwright_end(cellwright_stepped *work);

/* Version of the library that runs; compare it with CELLWRIGHT_VERSION, the version of this header. */
const char *cellwright_version(void);

#ifdef __cplusplus
}
#endif

#endif
