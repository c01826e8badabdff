-- Ends a queued job at once; leaves a running one a flag that its worker looks at.
local state = get('state')
if state == '' then return {'missing'} end
if ended(state) then return {'ended', state} end
if state == 'queued' then
  finish('canceled')
  return {'canceled'}
end
set('cancel', '1')
redis.call('PUBLISH', prefix .. ':stop', shop .. '/' .. id)
return {'flagged'}
