-- Puts a running job back in line: 'release' by its holder, not counted; 'retry' by its holder, counted;
-- 'dead' by the sweeper, when the lease has died. Attempts used up end it, a wish to stop ends it as canceled.
local mode, token, limit, pause, problem = ARGV[6], ARGV[7], tonumber(ARGV[8]), tonumber(ARGV[9]), ARGV[10]
local state = get('state')
if state ~= 'running' then
  if mode == 'dead' then redis.call('ZREM', base .. 'leases', id) end
  return {'lost'}
end
if mode == 'dead' then
  local dies = num('lease_until')
  if dies > now then
    redis.call('ZADD', base .. 'leases', int(dies), id)
    return {'held'}
  end
elseif get('token') ~= token then
  return {'lost'}
end
if get('cancel') == '1' then
  finish('canceled')
  return {'ended', 'canceled'}
end
if mode == 'release' then
  set('attempts', int(num('attempts') - 1))
elseif num('attempts') >= limit then
  set('problem', problem)
  finish('failed')
  return {'ended', 'failed'}
end
requeue(pause * math.max(1, 2 ^ (num('attempts') - 1)))
return {'queued', get('lane'), int(num('epoch'))}
