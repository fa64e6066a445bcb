-- Inserts the plug-in on the track "voice", automates one parameter, connects the side-chain, saves:
-- arrange.lua FOLDER SESSION PLUGIN PARAMETER REFERENCE_TRACK|- NAME=VALUE;... SAMPLE=VALUE...
-- A value, in the parameter's plain unit, holds from its sample until the next one; those with a name stay.
local session = assert (load_session (arg[1], arg[2]), "the session cannot be opened")
local plugin_name, parameter_name, reference, also = arg[3], arg[4], arg[5], arg[6]

local function track (name)
  local route = session:route_by_name (name)
  assert (not route:isnil (), "there is no track " .. name)
  return route
end

local function insert (route)
  for plugin in ARDOUR.LuaAPI.list_plugins ():iter () do
    if plugin.name == plugin_name and plugin.type == ARDOUR.PluginType.VST3 then
      local processor = ARDOUR.LuaAPI.new_plugin (session, plugin.unique_id, ARDOUR.PluginType.VST3, "")
      assert (not processor:isnil (), "the plug-in cannot be made")
      assert (route:add_processor_by_index (processor, 0, nil, true) == 0, "the plug-in cannot be inserted")
      return processor
    end
  end
  error (plugin_name .. " is not in the cache of plug-ins")
end

local function parameter_index (plugin, name)
  for index = 0, plugin:parameter_count () - 1 do
    if plugin:parameter_label (index) == name then return index end
  end
  error ("there is no parameter " .. name)
end

-- Points hold until the next one: the host would draw straight lines between them, did it not know steps too.
local function automate (processor, index)
  local _, list = ARDOUR.LuaAPI.plugin_automation (processor, index)
  assert (list:set_interpolation (Evoral.InterpolationStyle.Discrete), "the host makes no steps of automation")
  for position = 7, #arg do
    local sample, value = string.match (arg[position], "^(%d+)=(.+)$")
    sample, value = tonumber (sample), tonumber (value)
    list:add (Temporal.timepos_t (sample), value, false, true)
    if position == 7 then ARDOUR.LuaAPI.set_processor_param (processor, index, value) end
  end
  local parameter = Evoral.Parameter (ARDOUR.AutomationType.PluginAutomation, 0, index)
  local control = processor:to_insert ():to_automatable ():automation_control (parameter, false)
  control:set_automation_state (ARDOUR.AutoState.Play)
  print ("points", list:size ())
end

local function connect_side_chain (route, processor)
  local source = track (reference)
  -- The lead is heard by the side-chain only.
  source:output ():disconnect_all (nil)
  local side_chain = processor:to_plugininsert ():sidechain_input ()
  if side_chain:isnil () then
    assert (route:add_sidechain (processor), "the host gives no side-chain")
    side_chain = processor:to_plugininsert ():sidechain_input ()
  end
  local send = ARDOUR.LuaAPI.new_send (session, source, source:amp ())
  assert (not send:isnil (), "the host makes no send")
  local output = send:to_send ():output ()
  for channel = 0, 1 do
    assert (output:nth (channel):connect (side_chain:nth (channel):name ()) == 0, "the side-chain cannot be connected")
  end
  print ("side_chain_ports", side_chain:n_ports ():n_audio ())
end

local route = track ("voice")
local processor = insert (route)
local plugin = processor:to_insert ():plugin (0)
for name, value in string.gmatch (also, "([^=;]+)=([^;]+)") do
  ARDOUR.LuaAPI.set_processor_param (processor, parameter_index (plugin, name), tonumber (value))
end
automate (processor, parameter_index (plugin, parameter_name))
if reference ~= "-" then connect_side_chain (route, processor) end
ARDOUR.LuaAPI.usleep (500000)
session:save_state ("")
print ("done")
io.stdout:flush ()
os.exit (0)
