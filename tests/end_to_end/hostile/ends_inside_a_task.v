// does: ends the simulation from a task that it calls
// named: refused $finish
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    task over; if (q == 10) $finish(0); endtask
    always @(q) over;
endmodule
