package main
import ("testing";"os";"context";"time";"fmt";"tamis/pkg/artwork";"tamis/pkg/halftone";"golang.org/x/sync/errgroup";"syscall";"runtime/pprof";"runtime")
func TestZZ(t *testing.T){
 ctx:=context.Background()
 art,_:=os.ReadFile("/dev/shm/tb/art.png")
 im,err:=artwork.Decode(ctx,art,artwork.Limits{}); if err!=nil{t.Fatal(err)}
 p,err:=planned(ctx,im,12); if err!=nil{t.Fatal(err)}
 im=nil; runtime.GC()
 dir:=shelf(os.Getenv("ZZDIR"))
 var ru syscall.Rusage
 mark:=func(n string,d time.Duration){ var r syscall.Rusage; syscall.Getrusage(0,&r); fmt.Printf("  %s %dms u%d s%d f%d\n",n,d.Milliseconds(),(r.Utime.Nano()-ru.Utime.Nano())/1e6,(r.Stime.Nano()-ru.Stime.Nano())/1e6,r.Minflt-ru.Minflt); ru=r }
 for i:=0;i<12;i++{ if os.Getenv("ZZP")!=""&&i==0{f,_:=os.Create(os.Getenv("ZZP"));pprof.StartCPUProfile(f);defer pprof.StopCPUProfile()}
 mark("-",0)
 t0:=time.Now()
 im,_=artwork.Decode(ctx,art,artwork.Limits{})
 mark("decode",time.Since(t0)); t0=time.Now()
 var screens []*halftone.Screen
 var g errgroup.Group
 _=g
 planes,_:=p.Recipe.Apply(ctx,im,nil)
 g.Wait()
 mark("apply+screens",time.Since(t0)); t0=time.Now()
 if os.Getenv("ZZGC")!=""{runtime.GC(); mark("gc",time.Since(t0)); t0=time.Now()}
 planes2:=planes
 screens,_=p.Screens(); mark("screens",time.Since(t0)); t0=time.Now()
if os.Getenv("ZZNF")==""{ dir.films(ctx,p,planes2,screens)}
 mark("films",time.Since(t0))
 }
}
