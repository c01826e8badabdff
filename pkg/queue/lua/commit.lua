-- Ends the job for the holder of the token. A job that was told to stop ends as canceled, whatever was made.
-- The same holder may ask again (its answer was lost): it hears the end that stands.
local token, state, manifest, problem = ARGV[6], ARGV[7], ARGV[8], ARGV[9]
local have = get('state')
if get('token') ~= token then return {'lost'} end
if ended(have) then return {'ended', have} end
if have ~= 'running' then return {'lost'} end
if get('cancel') == '1' then state, manifest, problem = 'canceled', '', '' end
set('manifest', manifest, 'problem', problem)
finish(state)
return {'ended', state}
