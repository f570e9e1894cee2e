// does: writes a memory into a file
// named: refused $writememh
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg [7:0] m [0:3];
    initial $writememh("/tmp/everyedge_hostile_mark", m);
endmodule
