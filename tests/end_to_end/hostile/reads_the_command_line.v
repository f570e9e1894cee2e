// does: finds the pipes of the harness on the command line
// named: refused $value$plusargs
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg [511:0] path;
    initial if ($value$plusargs("everyedge_trace=%s", path)) $display("%0s", path);
endmodule
