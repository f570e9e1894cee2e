// holds: a block for a macro that nobody defines
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
`ifdef SIM
    initial begin $dumpfile("/tmp/waves.vcd"); $dumpvars; #1000 $finish; end
`endif
endmodule
