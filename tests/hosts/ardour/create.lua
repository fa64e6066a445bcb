-- Makes a session with an audio track for each name: create.lua FOLDER SESSION RATE_HZ TRACK...
local session = assert (create_session (arg[1], arg[2], tonumber (arg[3])), "the session cannot be made")
session:add_master_bus (ARDOUR.ChanCount (ARDOUR.DataType ("audio"), 2))
for index = 4, #arg do
  session:new_audio_track (2, 2, nil, 1, arg[index], ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal, true)
end
-- The host connects tracks to the master bus on a thread of its own.
ARDOUR.LuaAPI.usleep (500000)
for index = 4, #arg do
  assert (session:route_by_name (arg[index]):output ():nth (0):connected (), arg[index] .. " is not connected to the master bus")
end
session:save_state ("")
-- Not close_session: it aborts in a good part of all runs, with any plug-in or none.
print ("done")
io.stdout:flush ()
os.exit (0)
