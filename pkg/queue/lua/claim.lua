-- Gives the job to the holder of a new token, unless it ended, is held, was told to stop, or crashed too often.
local token, lease, limit, perShop, poison = ARGV[6], ARGV[7], tonumber(ARGV[8]), tonumber(ARGV[9]), ARGV[10]
local ring = ARGV[11]
local state = get('state')
if state == '' then return {'missing'} end
if ended(state) then return {'ended', state} end
if state == 'running' and num('lease_until') > now then return {'held'} end
if get('cancel') == '1' then
  finish('canceled')
  return {'ended', 'canceled'}
end
if num('attempts') >= limit then
  set('problem', poison)
  finish('failed')
  return {'ended', 'failed'}
end
if state == 'queued' and perShop > 0 and redis.call('ZCARD', base .. 'leases') >= perShop then
  redis.call('ZADD', base .. 'waiting', 'NX', int(now), id)
  redis.call('ZADD', base .. 'ring', int(now + ring), id)
  return {'full'}
end
set('attempts', int(num('attempts') + 1), 'token', token, 'lease_until', int(now + lease), 'started', int(now),
  'done', '0', 'total', '0', 'stage', '')
move('running')
redis.call('ZREM', base .. 'ring', id)
redis.call('ZREM', base .. 'waiting', id)
redis.call('ZADD', base .. 'leases', int(now + lease), id)
event('running')
return {'claimed', int(num('attempts'))}
