@echo off
rem Installs Siskin @VERSION@ for this user; no administrator is needed.
rem     install.cmd           copies the plug-ins and the starting points, and says where
rem     install.cmd remove    removes what it copied
rem
rem Beside each copy lies a note, "....installed.txt". What has no note was put there by somebody else, and stays.
setlocal disabledelayedexpansion
set "version=@VERSION@"
set "here=%~dp0"
set "clap=%LOCALAPPDATA%\Programs\Common\CLAP\Siskin.clap"
set "vst3=%LOCALAPPDATA%\Programs\Common\VST3\Siskin.vst3"
set "presets=%USERPROFILE%\Documents\VST3 Presets\Siskin"
if /i "%~1"=="remove" goto remove
if not "%~1"=="" goto usage

call :check "%clap%"
if errorlevel 1 goto failed
call :check "%vst3%"
if errorlevel 1 goto failed
call :put_file "%here%Siskin.clap" "%clap%"
if errorlevel 1 goto failed
call :put_folder "%here%Siskin.vst3" "%vst3%"
if errorlevel 1 goto failed
call :take_away_presets >nul
call :put_presets "Siskin"
call :put_presets "Siskin Follow"
echo To remove all of this: install.cmd remove
goto done

:remove
call :take_away "%clap%"
call :take_away "%vst3%"
call :take_away_presets
goto done

:usage
echo usage: install.cmd [remove]
exit /b 2

:failed
pause
exit /b 1

:done
pause
exit /b 0

rem Stops where %1 is somebody else's, and asks before it replaces a newer version.
:check
if not exist "%~1" exit /b 0
if exist "%~1.installed.txt" goto check_version
echo %~1 was not installed by this script: move it away, then run this again
exit /b 1
:check_version
set "there="
for /f "usebackq tokens=1,2" %%a in ("%~1.installed.txt") do if "%%a"=="Siskin" set "there=%%b"
if "%there%"=="" exit /b 0
call :is_newer "%there%" "%version%"
if errorlevel 1 exit /b 0
echo %~1 is version %there%, newer than %version%.
set "answer=n"
set /p "answer=Replace it? [y/N] "
if /i "%answer%"=="y" exit /b 0
echo nothing was changed
exit /b 1

rem Whether version %1 is newer than version %2: errorlevel 0 where it is.
:is_newer
for /f "tokens=1-3 delims=." %%a in ("%~1") do set /a "one=(%%a*1000+%%b)*1000+%%c"
for /f "tokens=1-3 delims=." %%a in ("%~2") do set /a "other=(%%a*1000+%%b)*1000+%%c"
if %one% GTR %other% exit /b 0
exit /b 1

rem Makes room for %1 and leaves its note: a copy that is cut short can still be removed.
:begin
if not exist "%~dp1" mkdir "%~dp1"
>"%~1.installed.txt" echo Siskin %version%
>>"%~1.installed.txt" echo Put here by install.cmd of Siskin. "install.cmd remove" removes it.
call :delete "%~1"
exit /b 0

rem Copies the file %1 to %2.
:put_file
call :begin "%~2"
copy /y "%~1" "%~2" >nul
if errorlevel 1 goto put_failed
echo installed %~2
exit /b 0

rem Copies the folder %1 to %2.
:put_folder
call :begin "%~2"
xcopy /e /i /q /y "%~1" "%~2" >nul
if errorlevel 1 goto put_failed
echo installed %~2
exit /b 0

:put_failed
echo cannot write %~2: close the programs that use it, then run this again
exit /b 1

rem Copies the starting points of the plug-in %1.
:put_presets
pushd "%here%presets\%~1"
for %%f in (*.vstpreset) do call :put_preset "%%f" "%presets%\%~1\%%f"
popd
exit /b 0
:put_preset
if not exist "%~2" goto put_own_preset
if exist "%~2.installed.txt" goto put_own_preset
echo left alone, not installed by this script: %~2
exit /b 0
:put_own_preset
call :put_file "%~1" "%~2"
exit /b 0

:take_away
if exist "%~1.installed.txt" goto take_away_own
if exist "%~1" goto take_away_foreign
echo not installed: %~1
exit /b 0
:take_away_foreign
echo left alone, not installed by this script: %~1
exit /b 0
:take_away_own
call :delete "%~1"
del /q "%~1.installed.txt"
echo removed %~1
exit /b 0

:take_away_presets
call :take_away_presets_of "Siskin"
call :take_away_presets_of "Siskin Follow"
rmdir "%presets%" 2>nul
exit /b 0
:take_away_presets_of
if not exist "%presets%\%~1\" exit /b 0
pushd "%presets%\%~1"
for %%f in (*.vstpreset.installed.txt) do call :take_away_preset "%presets%\%~1\%%f"
popd
rmdir "%presets%\%~1" 2>nul
exit /b 0
:take_away_preset
set "note=%~1"
call :take_away "%note:.installed.txt=%"
exit /b 0

:delete
rmdir /s /q "%~1" 2>nul
if exist "%~1" del /q "%~1"
exit /b 0
