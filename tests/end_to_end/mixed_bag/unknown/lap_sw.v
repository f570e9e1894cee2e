module lap_sw(input clk, input rst, input btn_ss, input btn_lap, output [5:0] sec_out);
 parameter CLK_HZ = 1000;
 reg run, hold, p1, p2; reg [9:0] pre; reg [5:0] sec, snap;
 assign sec_out = hold ? snap : sec;
 always @(posedge clk) begin
  p1 <= btn_ss; p2 <= btn_lap;
  if (rst) begin run <= 0; hold <= 0; pre <= 0; sec <= 0; end
  else begin
   if (btn_ss & ~p1) run <= ~run;
   if (btn_lap & ~p2) begin hold <= ~hold; snap <= sec; end
   if (run) if (pre == CLK_HZ-1) begin pre <= 0; sec <= (sec == 59) ? 0 : sec + 1; end else pre <= pre + 1;
  end
 end
endmodule
