package cavity
import ("testing";"context";"fmt";"os")
func TestDbg(t *testing.T){
 name:=os.Getenv("SP"); s:=spaces()[name]; if s==nil {t.Skip()}
 room,_:=s.Settle(); res,_:=room.Regions(context.Background(),Limits{})
 for i,r:=range res.Regions{ if i>30 {break}
  fmt.Printf("%-6v %.1f..%.1f air %.2f out %.2f n=%d bev %d boards %d rect %v ",r.Axis,r.Lo*1000,r.Hi*1000,r.Air*1000,r.Volume*1000,len(r.Section),r.Bevels,r.Boards,r.Rectangle)
  for _,p:=range r.Section{fmt.Printf("[%.0f %.0f] ",p.X*1000,p.Y*1000)}
  for _,p:=range r.Pockets{fmt.Printf("{%s %.0f..%.0f %.0f..%.0f %.0f..%.0f}",p.Name,p.Min.X*1000,p.Max.X*1000,p.Min.Y*1000,p.Max.Y*1000,p.Min.Z*1000,p.Max.Z*1000)}
  fmt.Println()
 }
}
