// Nothing but a clock and a reset: how fast the simulator can go at all.
`timescale 1ns/1ps
module timer_bench;
  reg clk = 0, rst_n = 0;
  wire [6:0] hour_tens, hour_ones, min_tens, min_ones, sec_tens, sec_ones;
  integer clocks;
  exposure_timer #(.CLK_HZ(50)) timer (
    .clk(clk), .rst_n(rst_n), .hour_tens(hour_tens), .hour_ones(hour_ones), .min_tens(min_tens),
    .min_ones(min_ones), .sec_tens(sec_tens), .sec_ones(sec_ones));
  initial begin
    if (!$value$plusargs("clocks=%d", clocks)) clocks = 0;
    repeat (2) begin #5 clk = 1; #5 clk = 0; end
    rst_n = 1;
    repeat (clocks) begin #5 clk = 1; #5 clk = 0; end
    $finish;
  end
endmodule
