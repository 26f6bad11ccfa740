; Installs the program for one account of a 64-bit Windows; no administrator is asked.
; Given by .ci/windows: FROM, the folder with what is installed; OUT; VERSION; TARGET.
; What devices keep lies in the account's own folder and is touched by neither.
Unicode true
Target amd64-unicode
!define ABOUT "Software\Microsoft\Windows\CurrentVersion\Uninstall\Tallywater"
Name "Tallywater"
OutFile "${OUT}"
RequestExecutionLevel user
InstallDir "$LOCALAPPDATA\Programs\Tallywater"
SetCompressor /SOLID lzma
LoadLanguageFile "${NSISDIR}\Contrib\Language files\English.nlf"
LoadLanguageFile "${NSISDIR}\Contrib\Language files\German.nlf"
Page directory
Page instfiles
UninstPage uninstConfirm
UninstPage instfiles

Section
  SetShellVarContext current
  SetOutPath "$INSTDIR"
  File "${FROM}\*.*"
  WriteUninstaller "$INSTDIR\uninstall.exe"
  CreateShortcut "$SMPROGRAMS\Tallywater.lnk" "$INSTDIR\tallywater.exe"
  WriteRegStr HKCU "${ABOUT}" "DisplayName" "Tallywater"
  WriteRegStr HKCU "${ABOUT}" "DisplayVersion" "${VERSION}"
  WriteRegStr HKCU "${ABOUT}" "InstallLocation" "$INSTDIR"
  WriteRegStr HKCU "${ABOUT}" "UninstallString" '"$INSTDIR\uninstall.exe"'
  WriteRegDWORD HKCU "${ABOUT}" "NoModify" 1
  WriteRegDWORD HKCU "${ABOUT}" "NoRepair" 1
SectionEnd

Section "Uninstall"
  SetShellVarContext current
  Delete "$SMPROGRAMS\Tallywater.lnk"
  DeleteRegKey HKCU "${ABOUT}"
  ; By name: somebody may have put a device's folder beside the program.
  Delete "$INSTDIR\tallywater.exe"
  Delete "$INSTDIR\zlib1.dll"
  Delete "$INSTDIR\README.md"
  Delete "$INSTDIR\MANUAL.md"
  Delete "$INSTDIR\LICENSE"
  Delete "$INSTDIR\LICENSE-inter.txt"
  Delete "$INSTDIR\LICENSE-lucide.txt"
  Delete "$INSTDIR\uninstall.exe"
  RMDir "$INSTDIR"
SectionEnd
