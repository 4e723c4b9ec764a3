/* Uses the C library as another program would: asks, reads, gives back. Exit status 0 where all holds. */

#include <cellwright.h>
#include <stdio.h>
#include <string.h>

static int failures = 0;

/* Asks, and looks for a part of what comes back. */
static void expect(const char *question, const char *json, const char *part)
{
    char *text = cellwright_ask(question, json);
    if (text == NULL || strstr(text, part) == NULL) {
        fprintf(stderr, "wanted %s\n   got %s\n", part, text == NULL ? "NULL" : text);
        failures++;
    }
    cellwright_free(text);
}

/* Steps a search to its end. */
static void expect_steps(void)
{
    static const char input[] =
        "{\"series\": 2, \"parallel\": 1, \"cells\": ["
        "{\"name\": \"A\", \"chemistry\": \"nmc\", \"capacity_ah\": {\"low\": 2, \"likely\": 2, \"high\": 2}},"
        "{\"name\": \"B\", \"chemistry\": \"nmc\", \"capacity_ah\": {\"low\": 2, \"likely\": 2, \"high\": 2}}]}";
    char *mistakes = NULL;
    cellwright_stepped *work = cellwright_begin("match", input, &mistakes);
    char *text = cellwright_step(work, 1000);
    if (mistakes != NULL || text == NULL || strstr(text, "\"done\":true") == NULL) {
        fprintf(stderr, "no search: %s\n", text == NULL ? "NULL" : text);
        failures++;
    }
    cellwright_free(text);
    text = cellwright_so_far(work);
    if (text == NULL || strstr(text, "\"findings\":") == NULL) {
        failures++;
    }
    cellwright_free(text);
    cellwright_end(work);
    if (cellwright_begin("timer", "{}", &mistakes) != NULL || mistakes == NULL) {
        failures++;
    }
    cellwright_free(mistakes);
    cellwright_end(NULL);
}

int main(void)
{
    static char deep[200001];
    char bytes[] = {'"', (char)0xff, '"', 0};
    int round;

    memset(deep, '[', sizeof deep - 1);
    if (strcmp(cellwright_version(), CELLWRIGHT_VERSION) != 0) {
        fprintf(stderr, "header %s, library %s\n", CELLWRIGHT_VERSION, cellwright_version());
        failures++;
    }
    cellwright_free(NULL);
    expect("marking", "{\"resistor_letters\": \"4K7\"}", "\"ohm\":4700,");
    expect("marking", "{\"resistor_letters\": 4.7}", "\"path\":\"/resistor_letters\"");
    expect("no such question", "{}", "\"field\":\"question\"");
    expect(NULL, "{}", "\"code\":\"missing\",\"path\":\"\",\"field\":\"question\"");
    expect("marking", NULL, "\"code\":\"missing\",\"path\":\"\",\"field\":\"input\"");
    expect("marking", "", "\"code\":\"unreadable\"");
    expect("marking", bytes, "text in UTF-8");
    expect("marking", deep, "at most 32 levels");
    expect("timer", "{\"supply_v\": 1e999}", "supply_v is not a finite number");
    expect_steps();
    for (round = 0; round < 10000; round++) {
        expect("marking", "{\"capacitor_digits\": \"104\"}", "\"f\":1e-7");
    }
    if (failures == 0) {
        puts("the C library answers");
    }
    return failures != 0;
}
