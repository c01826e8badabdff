-- Renews the lease of the holder of the token, notes progress where there is some, and says whether to stop.
local token, lease, done, total, stage = ARGV[6], ARGV[7], ARGV[8], ARGV[9], ARGV[10]
if get('state') ~= 'running' or get('token') ~= token then return {'lost'} end
set('lease_until', int(now + lease))
redis.call('ZADD', base .. 'leases', int(now + lease), id)
if done ~= '' then
  set('done', done, 'total', total, 'stage', stage)
  event('progress')
end
if get('cancel') == '1' then return {'stop'} end
return {'held'}
