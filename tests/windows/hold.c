/* What another program does to a file.

   hold open FILE      opens it so that nobody else may, says so, and lets go when its input ends
   hold name FOLDER    copies FOLDER\plate.dxf to a name that is no Unicode text */
#include <stdio.h>
#include <wchar.h>
#include <windows.h>

int wmain(int count, wchar_t **words)
{
    wchar_t from[MAX_PATH], to[MAX_PATH];
    HANDLE file;

    if (count != 3)
        return 2;
    if (wcscmp(words[1], L"open") == 0) {
        file = CreateFileW(words[2], GENERIC_READ | GENERIC_WRITE, 0, NULL, OPEN_EXISTING, FILE_ATTRIBUTE_NORMAL, NULL);
        if (file == INVALID_HANDLE_VALUE)
            return 1;
        puts("open");
        fflush(stdout);
        while (getchar() != EOF)
            ;
        CloseHandle(file);
        return 0;
    }
    _snwprintf(from, MAX_PATH, L"%ls\\plate.dxf", words[2]);
    _snwprintf(to, MAX_PATH, L"%ls\\half \xD83D.dxf", words[2]);
    return CopyFileW(from, to, FALSE) ? 0 : 1;
}
