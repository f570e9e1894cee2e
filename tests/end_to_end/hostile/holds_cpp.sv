// does: holds C++ code for one simulator
// named: refused $c
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial $c("system(\"touch /tmp/everyedge_hostile_mark\");");
endmodule
