/* What Windows 10 and later have and Wine 8 lacks: a source of random bytes, of which hash maps take their seeds. */
#include <windows.h>

BOOLEAN WINAPI SystemFunction036(PVOID buffer, ULONG length);

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE buffer, SIZE_T length)
{
    return SystemFunction036(buffer, (ULONG)length);
}
